package office

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"scumble/internal/instrument"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// readingsShown is how many rows of an export the page shows as they were read.
const readingsShown = 50

// readingsPage is the import of an instrument's export for one car.
type readingsPage struct {
	Page    ui.PageProps
	Form    *form
	Film    unit // in which films are shown
	Action  string
	Back    string
	Head    *instrument.Head // nil until there is an export
	Columns []ui.SelectProps
	One     ui.SelectProps // the piece, where no column names one
	Angle   ui.SelectProps
	Decimal ui.SelectProps
	Unit    ui.SelectProps
	Read    *readExport
}

// readExport is an export as it was read by the columns that were chosen.
type readExport struct {
	Rows   []instrument.Row
	Faults []instrument.Fault
	Events []restoration.Event // that are new
	Known  int                 // readings that an earlier import entered
	Print  string              // of the export and of what was chosen, so that only what was shown can be confirmed
}

// OK tells whether it may be entered.
func (x *readExport) OK() bool { return len(x.Faults) == 0 && len(x.Events) > 0 }

// verdict says in a sentence what the export holds.
func (x *readExport) verdict() string {
	switch n := len(x.Faults); {
	case n > 0:
		return ui.Count(n, "thing is", "things are") + " wrong. Nothing is entered yet; choose other columns, correct the text below, or choose the corrected file."
	case len(x.Events) == 0 && x.Known > 0:
		return "Every reading of this export was entered before. There is nothing to do; if they were measured anew, say when."
	}
	says := fmt.Sprintf("%s of %s. Nothing is entered yet.", ui.Count(len(x.Events), "reading", "readings"), ui.Count(piecesOf(x.Events), "piece", "pieces"))
	if x.Known > 0 {
		says += fmt.Sprintf(" %d more were entered before and stay as they are; if they were measured anew, say when.", x.Known)
	}
	return says
}

func piecesOf(events []restoration.Event) int {
	seen := map[restoration.ID]bool{}
	for _, e := range events {
		seen[e.PieceID] = true
	}
	return len(seen)
}

func (o *Office) showReadings(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	return o.renderReadings(w, r, http.StatusOK, car, nil, &form{values: url.Values{}}, nil, nil)
}

// importReadings shows what an export holds, and enters it when the page that showed it
// without a fault says so.
func (o *Office) importReadings(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	f, err := readListForm(w, r)
	if err != nil {
		return err
	}
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	head := f.readHead()
	if head == nil {
		return o.renderReadings(w, r, http.StatusUnprocessableEntity, car, pieces, f, nil, nil)
	}
	read, err := o.readReadings(r, f, car, pieces, head)
	if err != nil {
		return err
	}
	switch {
	case !f.ok() || len(read.Faults) > 0:
		return o.renderReadings(w, r, http.StatusUnprocessableEntity, car, pieces, f, head, read)
	case !read.OK() || f.get("act") != "confirm" || f.get(listSeen) != read.Print:
		return o.renderReadings(w, r, http.StatusOK, car, pieces, f, head, read)
	}
	return o.enterReadings(w, r, car, read)
}

// readHead looks at the export of a form; nil where there is none that can be read,
// which is then said at its field.
func (f *form) readHead() *instrument.Head {
	text := f.get(listText)
	if blank(text) {
		f.fault(listFile, "Choose the instrument's CSV file, or paste it below.")
		return nil
	}
	if !utf8.ValidString(text) {
		text = fromLatin1(text)
		f.values.Set(listText, text)
	}
	head, err := instrument.Columns([]byte(text))
	if err != nil {
		f.fault(listText, "%s", upperFirst(err.Error()))
		return nil
	}
	return &head
}

// fromLatin1 reads bytes as ISO 8859-1, in which instruments write µ and °, so that a
// page can carry the text on.
func fromLatin1(s string) string {
	var b strings.Builder
	for i := range len(s) {
		b.WriteRune(rune(s[i]))
	}
	return b.String()
}

// readReadings reads the export by the columns that were chosen; those of a file that
// comes for the first time are guessed.
func (o *Office) readReadings(r *http.Request, f *form, car restoration.Car, pieces []restoration.Piece, head *instrument.Head) (*readExport, error) {
	if !f.values.Has(columnField("value")) || f.get(listSeen) == "" {
		guessColumns(f.values, head.Columns)
	}
	v := visitOf(r)
	choice := f.columns(head)
	chosen, ok := onePiece(pieces, f.get("one"))
	if ok && choice.Piece == 0 {
		pieces = []restoration.Piece{chosen}
	}
	x := &readExport{Print: printOf(f.get(listText) + fmt.Sprint(car.ID, choice, f.get("one"), f.ticked(readBaseline), f.ticked(readUnder)))}
	as := restoration.ReadingsAs{At: f.happened("when", v.Now, v.Loc), Dated: f.get("when") != "", PersonID: v.Person.ID,
		Baseline: f.ticked(readBaseline), UnderClear: f.ticked(readUnder)}
	if x.Rows, x.Faults = instrument.Read([]byte(f.get(listText)), choice); len(x.Faults) > 0 {
		return x, nil
	}
	known, spent, err := o.shop.ReadingIDs(r.Context(), car.ID)
	if err != nil {
		return nil, err
	}
	as.Spent = idSet(spent)
	x.Events, x.Faults = restoration.ReadingsFrom(x.Rows, pieces, as)
	x.Faults = x.Faults[:min(len(x.Faults), instrument.MaxFaults)]
	all, before := len(x.Events), idSet(known)
	x.Events = slices.DeleteFunc(x.Events, func(e restoration.Event) bool { return before[e.ID] })
	x.Known = all - len(x.Events)
	return x, nil
}

func idSet(ids []restoration.ID) map[restoration.ID]bool {
	set := make(map[restoration.ID]bool, len(ids))
	for _, id := range ids {
		set[id] = true
	}
	return set
}

func onePiece(pieces []restoration.Piece, id string) (restoration.Piece, bool) {
	i := slices.IndexFunc(pieces, func(p restoration.Piece) bool { return p.ID.String() == id })
	if i < 0 {
		return restoration.Piece{}, false
	}
	return pieces[i], true
}

// enterReadings enters what was shown. What the shop refuses stands in what needs a look.
func (o *Office) enterReadings(w http.ResponseWriter, r *http.Request, car restoration.Car, x *readExport) error {
	outcomes, err := o.shop.EnterReadings(r.Context(), x.Events)
	if err != nil {
		return err
	}
	refused, why := 0, ""
	for _, out := range outcomes {
		if out.Result == restoration.Refused {
			refused, why = refused+1, out.Reason
		}
	}
	notice := ui.Notice{Kind: ui.NoticeDone, Text: ui.Count(len(outcomes)-refused, "reading is", "readings are") + " entered."}
	if refused > 0 {
		notice = ui.Notice{Kind: ui.NoticeError, Text: fmt.Sprintf("%d of %d readings were refused, such as: %s", refused, len(outcomes), why), Href: "/office#look", Link: "See them"}
	}
	o.say(r, notice)
	return web.SeeOther(w, r, carFilmPath(car.WorkOrder))
}

func (o *Office) renderReadings(w http.ResponseWriter, r *http.Request, status int, car restoration.Car, pieces []restoration.Piece, f *form, head *instrument.Head, read *readExport) error {
	p := readingsPage{
		Page: o.page(r, ui.PageProps{Title: "Readings from an instrument", Eyebrow: carEyebrow(car), Nav: "shop"}),
		Form: f, Action: carPath(car.WorkOrder) + "/readings", Back: carFilmPath(car.WorkOrder), Head: head, Read: read, Film: visitOf(r).units().film,
	}
	if head != nil {
		p.Columns = columnSelects(f, head.Columns)
		p.One = f.choice(ui.SelectProps{Name: "one", Label: "Or all of one piece", Options: pieceOptions(pieces)})
		p.Angle = f.choice(ui.SelectProps{Name: "gloss_angle", Label: "Angle of every gloss", Options: angleOptions()})
		p.Decimal = f.choice(ui.SelectProps{Name: "decimal", Label: "Before the decimals", Options: []ui.Option{
			{Word: "as most numbers have it, a " + head.Decimal.String()}, {Value: ".", Word: "point, 31.2"}, {Value: ",", Word: "comma, 31,2"}}})
		p.Unit = f.choice(ui.SelectProps{Name: "unit", Label: "Film is in", Options: []ui.Option{{Value: "um", Word: "µm"}, {Value: "mil", Word: "mil"}}})
	}
	return web.Render(w, r, status, readingsView(p))
}

func pieceOptions(pieces []restoration.Piece) []ui.Option {
	out := []ui.Option{{Word: "no, a column names them"}}
	for _, p := range pieces {
		word := p.Title()
		if p.Label != "" {
			word += ", " + p.Label
		}
		out = append(out, ui.Option{Value: p.ID.String(), Word: word})
	}
	return out
}

// valid tells whether the export was read without a fault.
func (p readingsPage) valid() bool { return p.Read != nil && len(p.Read.Faults) == 0 }

// valueWords are the figures of a row, in the shop's units.
func valueWords(v instrument.Values, film unit) string {
	var parts []string
	if v.FilmUM != nil {
		parts = append(parts, fmt.Sprintf("%.4g %s", film.to(*v.FilmUM), film.word))
	}
	if v.Gloss != nil {
		parts = append(parts, v.Gloss.String())
	}
	if v.Lab != nil {
		parts = append(parts, labWords(*v.Lab))
	}
	return ui.Unbroken(strings.Join(parts, "; "))
}
