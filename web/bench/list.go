package bench

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

func (b *Bench) listRoutes(r chi.Router) {
	r.Get("/", b.handle(b.showList("ready")))
	r.Get("/waiting", b.handle(b.showList("waiting")))
	r.Get("/hand", b.handle(b.showList("hand")))
}

// listInput is what a list is built from.
type listInput struct {
	Which  string // "ready", "waiting" or "hand"
	Work   []restoration.Work
	Car    string // work order to show; "" all
	Person int64
	Now    time.Time
	Loc    *time.Location
}

// listView is one of the three lists.
type listView struct {
	Page    ui.PageProps
	Undo    *ui.UndoProps
	Schemes []ui.Scheme
	Cars    []carChip // none when there is a single car
	Groups  []tileGroup
	Empty   *ui.EmptyProps
}

// carChip shows one car's pieces only, at one touch.
type carChip struct {
	Word, Name, Href string
	Active           bool
}

type tileGroup struct {
	Title string // "" for the first
	Tiles []tile
}

// tile is one piece in a list; the whole of it is the target.
type tile struct {
	Name, Car, Place, Href string
	Scheme                 ui.Scheme
	Now, Next              restoration.Look
	NowWord, NextWord      string
	Why                    string // why it comes here, or what it waits for
	Alert                  bool   // the why can't wait
	Hours                  string
	Who                    string // who has it in hand
}

var listPaths = map[string]string{"ready": "/bench", "waiting": "/bench/waiting", "hand": "/bench/hand"}

// buildList sorts out what stands in a list; the page around it is filled in later.
func buildList(in listInput) listView {
	var v listView
	v.Cars = chips(in)
	shown := in.Work
	if in.Car != "" {
		shown = slices.DeleteFunc(slices.Clone(in.Work), func(w restoration.Work) bool { return w.Car.WorkOrder != in.Car })
	}
	// The rules see all work: what frees most is judged over the whole shop.
	switch in.Which {
	case "ready":
		v.add("", readyTiles(in, restoration.ReadyNow(in.Work, in.Now)))
	case "waiting":
		v.add("", waitingTiles(in, restoration.WaitingFor(shown, in.Now)))
		v.add("On hold", heldTiles(in, shown))
	case "hand":
		mine, others := handTiles(in, restoration.InHand(shown, in.Person))
		v.add("", mine)
		v.add("With others", others)
	}
	for _, w := range shown {
		v.Schemes = append(v.Schemes, scheme(w.Car))
	}
	if len(v.Groups) == 0 {
		v.Empty = emptyList(in)
	}
	return v
}

func (v *listView) add(title string, tiles []tile) {
	if len(tiles) > 0 {
		v.Groups = append(v.Groups, tileGroup{Title: title, Tiles: tiles})
	}
}

// chips lists the cars that have work, by work order.
func chips(in listInput) []carChip {
	path := listPaths[in.Which]
	names := map[string]string{}
	for _, w := range in.Work {
		names[w.Car.WorkOrder] = w.Car.Name
	}
	if len(names) < 2 {
		return nil
	}
	list := []carChip{{Word: "All cars", Href: path, Active: in.Car == ""}}
	for order, name := range names {
		list = append(list, carChip{Word: order, Name: name, Href: path + "?car=" + url.QueryEscape(order), Active: in.Car == order})
	}
	slices.SortFunc(list[1:], func(a, b carChip) int { return cmp.Compare(a.Word, b.Word) })
	return list
}

func readyTiles(in listInput, items []restoration.ReadyItem) []tile {
	var tiles []tile
	for _, item := range items {
		if in.Car != "" && item.Car.WorkOrder != in.Car {
			continue
		}
		t := tileOf(item.Work, in)
		t.Why = item.Reason
		t.Alert = !item.Piece.Sum.LateFrom.IsZero() && item.Piece.Sum.LateFrom.Sub(in.Now) < 24*time.Hour
		tiles = append(tiles, t)
	}
	return tiles
}

func waitingTiles(in listInput, work []restoration.Work) []tile {
	var tiles []tile
	for _, w := range work {
		t := tileOf(w, in)
		t.Why = "touch again " + ui.Clock(w.Piece.Sum.GateFrom, in.Now, in.Loc) + ", " + ui.Span(w.Piece.Sum.GateFrom, in.Now)
		tiles = append(tiles, t)
	}
	return tiles
}

// heldTiles shows what is held, longest first, so that nobody looks for it in vain.
func heldTiles(in listInput, work []restoration.Work) []tile {
	held := slices.DeleteFunc(slices.Clone(work), func(w restoration.Work) bool {
		return w.Piece.Footing(w.Car.State, in.Now) != restoration.FootHeld
	})
	slices.SortStableFunc(held, func(a, b restoration.Work) int { return heldSince(a).Compare(heldSince(b)) })
	var tiles []tile
	for _, w := range held {
		t := tileOf(w, in)
		t.Why = "held: the car is on hold"
		if w.Piece.Holding != nil {
			t.Why = "held: " + w.Piece.Holding.Reason
		}
		tiles = append(tiles, t)
	}
	return tiles
}

func heldSince(w restoration.Work) time.Time {
	if w.Piece.Holding != nil {
		return w.Piece.Holding.Since
	}
	return w.Car.HeldSince
}

func handTiles(in listInput, work []restoration.Work) (mine, others []tile) {
	for _, w := range work {
		t := tileOf(w, in)
		t.Why = "in hand since " + ui.Clock(w.HandSince, in.Now, in.Loc)
		if w.HandBy == in.Person {
			mine = append(mine, t)
			continue
		}
		t.Who = w.HandName
		others = append(others, t)
	}
	return mine, others
}

func tileOf(w restoration.Work, in listInput) tile {
	return tile{
		Name: w.Piece.Title(), Car: w.Car.WorkOrder + " · " + w.Car.Name, Place: w.Piece.LiesAt,
		Href:   "/bench/pieces/" + w.Piece.ID.String(),
		Scheme: scheme(w.Car),
		Now:    w.Piece.Sum.Look, Next: w.Stage.Look,
		NowWord: ui.LookWord(w.Piece.Sum.Look), NextWord: w.Stage.Name,
		Hours: ui.Hours(int(w.StepLeft)),
	}
}

func scheme(c restoration.Car) ui.Scheme { return ui.NewScheme(c.Ground, c.Grain) }

// emptyList says what to do when there is nothing.
func emptyList(in listInput) *ui.EmptyProps {
	switch {
	case in.Car != "" && len(in.Work) > 0:
		return &ui.EmptyProps{Text: "Nothing here for " + in.Car + ".", Next: "Look at all cars.", Href: listPaths[in.Which], Link: "All cars"}
	case in.Which == "waiting":
		return &ui.EmptyProps{Text: "Nothing waits.", Next: "Nothing hardens and nothing is on hold.", Href: "/bench", Link: "Ready now"}
	case in.Which == "hand":
		return &ui.EmptyProps{Text: "Nothing is in hand.", Next: "Choose a piece and touch Start.", Href: "/bench", Link: "Ready now"}
	case len(in.Work) > 0:
		return &ui.EmptyProps{Text: "Nothing is ready now.", Next: "Look what waits, and until when.", Href: "/bench/waiting", Link: "Waiting"}
	}
	return &ui.EmptyProps{Text: "No piece has anything left to do.", Next: "Ask the owner to take in the next car."}
}

// navItems are the lists with how many pieces stand in each; in hand counts the
// person's own only.
func navItems(work []restoration.Work, now time.Time, person int64) []ui.NavItem {
	mine := 0
	for _, w := range work {
		if w.HandBy == person {
			mine++
		}
	}
	count := map[string]int{"ready": len(restoration.ReadyNow(work, now)), "waiting": len(restoration.WaitingFor(work, now)), "hand": mine}
	items := ui.BenchNav()
	for i := range items {
		if n := count[items[i].Key]; n > 0 {
			items[i].Word += " " + strconv.Itoa(n)
		}
	}
	return items
}

var listTitles = map[string]string{"ready": "Ready now", "waiting": "Waiting", "hand": "In hand"}

func (b *Bench) showList(which string) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		work, err := b.shop.OpenWork(r.Context())
		if err != nil {
			return err
		}
		v := visitOf(r)
		view := buildList(listInput{
			Which: which, Work: work, Car: r.URL.Query().Get("car"), Person: v.person.ID,
			Now: b.now(), Loc: v.shop.Location(),
		})
		view.Page = b.frame(r, listTitles[which])
		view.Page.Nav, view.Page.NavItems = which, navItems(work, b.now(), v.person.ID)
		view.Page.Flash, view.Undo = b.heard(r)
		return web.Render(w, r, http.StatusOK, listPage(view))
	}
}
