package office

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// clearSign typed into a field of the change to several pieces empties it; an empty
// field leaves the pieces as they are.
const clearSign = "-"

// askFirst is what the button sends that would take pieces off the list.
const askFirst = "ask"

// The fields of the change begin with "to_": the filter of the same page has fields of
// the same sort.

// bulkFields offers what several pieces may be given at once.
type bulkFields struct {
	inUse
	Zones, Mountings, Grades, Routes []ui.Option
}

const leaveWord = "leave as it is"

func newBulkFields(pieces []restoration.Piece, routes []restoration.Route) bulkFields {
	leave := []ui.Option{{Word: leaveWord}}
	b := bulkFields{
		inUse:     newInUse(pieces),
		Zones:     options(leaveWord, restoration.Zones()),
		Mountings: append(leave, mountOptions()...),
		Grades:    leave,
		Routes:    append(leave, routeVersionOptions(routes)...),
	}
	for g := 1; g <= 6; g++ {
		b.Grades = append(b.Grades, ui.Option{Value: strconv.Itoa(g), Word: "grade " + strconv.Itoa(g)})
	}
	return b
}

// bulkChange is a change to several pieces: of what the office keeps of them, and
// events for the ledger.
type bulkChange struct {
	ID      restoration.ID // from which the ids of the events are derived
	Pieces  []restoration.ID
	Change  restoration.PieceChange
	Place   *string
	Hold    string
	Release bool
	Remove  bool // take them off the list
}

func parseBulk(f *form, routes []restoration.Route) bulkChange {
	b := bulkChange{ID: f.id("id"), Hold: f.text("to_hold"), Release: f.ticked("release"), Remove: f.get("remove") != "", Place: f.replaced("to_place")}
	for _, s := range f.values["piece"] {
		id, err := restoration.ParseID(s)
		if err != nil {
			f.fault("", "The form is damaged. Load the page again.")
			break
		}
		b.Pieces = append(b.Pieces, id)
	}
	b.Change = restoration.PieceChange{
		Set: f.replaced("to_set"), Scheme: f.replaced("to_scheme"), SchemeReason: f.replaced("to_scheme_reason"),
		Zone: chosen(f, "to_zone", restoration.Zones()), Mounting: chosen(f, "to_mounting", mountings()),
		RouteID: f.route("to_route", routes),
	}
	if f.get("to_grade") != "" {
		g := f.grade("to_grade")
		b.Change.Grade = &g
	}
	switch {
	case len(b.Pieces) == 0:
		f.fault("pieces", "No piece is selected. Tick those to be changed in the table, or touch them in the plan.")
	case b.Hold != "" && b.Release:
		f.fault("to_hold", "Pieces can't be held and released at once. Leave one of the two empty.")
	case f.ok() && b.empty():
		f.fault("to_set", "Nothing is to be changed yet. Fill in what the selected pieces get.")
	}
	return b
}

// replaced reads a text that takes the place of another: nil leaves it, the clear
// sign empties it.
func (f *form) replaced(name string) *string {
	s := f.line(name)
	switch s {
	case "":
		return nil
	case clearSign, "–":
		s = ""
	}
	return &s
}

// chosen reads one of the known words; nil when none was chosen.
func chosen[T ~string](f *form, name string, known []T) *T {
	if f.get(name) == "" {
		return nil
	}
	v := oneOf(f, name, known)
	return &v
}

// route reads one of the shop's present routes; nil when none was chosen.
func (f *form) route(name string, routes []restoration.Route) *int64 {
	s := f.get(name)
	if s == "" {
		return nil
	}
	for _, r := range routes {
		if formatID(r.ID) == s {
			return &r.ID
		}
	}
	f.fault(name, "Choose one of the shop's routes.")
	return nil
}

func (b bulkChange) empty() bool {
	return b.Change == restoration.PieceChange{} && b.Place == nil && b.Hold == "" && !b.Release && !b.Remove
}

// events are what the change enters into the ledger of the car. Their ids follow
// from the form's, so that a form sent twice enters them once.
func (b bulkChange) events(carID int64, v visit) []restoration.Event {
	var out []restoration.Event
	add := func(id restoration.ID, kind restoration.Kind, p restoration.Payload) {
		out = append(out, restoration.Event{ID: b.ID.Derive(string(kind) + id.String()), Kind: kind, CarID: carID, PieceID: id,
			PersonID: v.Person.ID, At: v.Now, Payload: p})
	}
	for _, id := range b.Pieces {
		if b.Place != nil {
			add(id, restoration.KindMove, restoration.Payload{Place: *b.Place})
		}
		if b.Hold != "" {
			add(id, restoration.KindHold, restoration.Payload{Reason: b.Hold})
		}
		if b.Release {
			add(id, restoration.KindRelease, restoration.Payload{})
		}
		if b.Remove {
			add(id, restoration.KindRemove, restoration.Payload{})
		}
	}
	return out
}

// changePieces changes several pieces of a car at once.
func (o *Office) changePieces(w http.ResponseWriter, r *http.Request) error {
	car, f, err := o.carForm(w, r)
	if err != nil {
		return err
	}
	routes, err := o.shop.Routes(r.Context())
	if err != nil {
		return err
	}
	b := parseBulk(f, routes)
	if f.ok() && f.get("remove") == askFirst {
		return o.askRemoval(w, r, car, f)
	}
	if f.ok() {
		notice, err := o.applyBulk(r, car, b)
		if err == nil {
			o.say(r, notice)
			return o.backAt(w, r, backTo(f, carPath(car.WorkOrder)), partPieces)
		}
		if err := f.take(err); err != nil {
			return err
		}
	}
	return o.drawCar(w, r, http.StatusUnprocessableEntity, car, f, nil)
}

func (o *Office) applyBulk(r *http.Request, car restoration.Car, b bulkChange) (ui.Notice, error) {
	v := visitOf(r)
	if b.Change != (restoration.PieceChange{}) {
		if _, err := o.shop.ChangePieces(r.Context(), v.Actor(), b.Pieces, b.Change); err != nil {
			return ui.Notice{}, err
		}
	}
	events := b.events(car.ID, v)
	outcomes, err := o.shop.Enter(r.Context(), events)
	if err != nil {
		return ui.Notice{}, err
	}
	return bulkNotice(len(b.Pieces), events, outcomes), nil
}

// bulkNotice says how many pieces were changed or taken off the list, and why some
// were not.
func bulkNotice(pieces int, events []restoration.Event, outcomes []restoration.Outcome) ui.Notice {
	refused, removed, first := 0, 0, ""
	for i, out := range outcomes {
		switch {
		case out.Result != restoration.Refused && events[i].Kind == restoration.KindRemove:
			removed++
		case out.Result == restoration.Refused:
			refused++
			first = cmp.Or(first, out.Reason)
		}
	}
	if refused > 0 {
		return ui.Notice{Kind: ui.NoticeCaution, Text: fmt.Sprintf("%s refused: %s", ui.Count(refused, "entry was", "entries were"), first),
			Href: "/office#look", Link: "See what needs a look"}
	}
	if removed > 0 {
		return ui.Notice{Kind: ui.NoticeDone, Text: ui.Count(removed, "piece", "pieces") + " taken off the list. What was logged stays.",
			Href: "#removed-head", Link: "Put back what was taken off by mistake"}
	}
	return ui.Notice{Kind: ui.NoticeDone, Text: ui.Count(pieces, "piece", "pieces") + " changed."}
}

// backTo is where a form came from, with its filter, if that is a page of the same
// path; else the path itself.
func backTo(f *form, path string) string {
	if to := f.get("back"); to == path || strings.HasPrefix(to, path+"?") {
		return to
	}
	return path
}

// askRemoval shows what would be lost before pieces are taken off the list.
func (o *Office) askRemoval(w http.ResponseWriter, r *http.Request, car restoration.Car, f *form) error {
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	path := carPath(car.WorkOrder)
	p := removalProps{
		Page:   o.page(r, ui.PageProps{Title: "Take pieces off the list?", Eyebrow: carEyebrow(car), Nav: "shop"}),
		Action: path + "/pieces/change", ID: f.get("id"), Back: backTo(f, path),
	}
	for _, piece := range pieces {
		if slices.Contains(f.values["piece"], piece.ID.String()) {
			p.add(piece)
		}
	}
	return web.Render(w, r, http.StatusOK, removalPage(p))
}

// removalProps is the page that asks before pieces are taken off a car's list.
type removalProps struct {
	Page             ui.PageProps
	Action, ID, Back string
	Pieces           []restoration.Piece
	Left, Logged     restoration.Minutes
}

func (p *removalProps) add(piece restoration.Piece) {
	p.Pieces = append(p.Pieces, piece)
	p.Left += piece.Sum.Left
	for _, s := range piece.Steps {
		p.Logged += s.Logged
	}
}
