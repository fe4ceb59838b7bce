package office

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// cardSize is a paper that travellers are printed on.
type cardSize struct {
	Key, Word string
	W, H      float64 // of the paper, mm
	Each      int     // cards on a sheet
}

// cardSizes are the papers, the shop's own first; the first is offered.
func cardSizes(u restoration.Units) []cardSize {
	iso := []cardSize{
		{"a5", "A5, one card", 148, 210, 1},
		{"a4", "A4, two cards side by side", 297, 210, 2},
	}
	letter := []cardSize{
		{"half", "US half letter, one card", 139.7, 215.9, 1},
		{"letter", "US letter, two cards side by side", 279.4, 215.9, 2},
	}
	if u == restoration.US {
		return append(letter, iso...)
	}
	return append(iso, letter...)
}

const printCard = "card" // key of a card size

// travellersProps is the page that prints the cards which go along with the pieces.
type travellersProps struct {
	Page   ui.PageProps
	Form   *form
	Path   string
	Car    restoration.Car
	Picks  []ui.CheckboxProps
	Sizes  []ui.Option
	Size   cardSize
	Style  string
	Scheme ui.Scheme
	Cards  int
	Sheets [][]travellerCard
}

// travellerCard is one piece on paper: what a tablet would say, with room to tick off by
// pen.
type travellerCard struct {
	Piece, Where, Car string
	Code, Name        string // spaced out, and as it is
	QR                labels.QR
	Facts             []ui.Fact
	Rows              []travellerRow
	Cautions          []stageCaution
	Note              string
}

// travellerRow is a step.
type travellerRow struct {
	Look    restoration.Look
	Stage   string
	Pass    int
	Defect  string // that sent the piece back to here; "" none
	Planned restoration.Minutes
	State   restoration.StepState
	Done    string // when it was done, or why it was skipped; "" still to do
	By      string // who did it
}

func (o *Office) showTravellers(w http.ResponseWriter, r *http.Request) error {
	p, err := o.loadTravellers(r, &form{values: r.URL.Query()})
	if err != nil {
		return err
	}
	p.Page = o.page(r, ui.PageProps{Title: "Travellers", Eyebrow: carEyebrow(p.Car), Nav: "shop"})
	status := http.StatusOK
	if !p.Form.ok() {
		status = http.StatusUnprocessableEntity
	}
	return web.Render(w, r, status, travellersPage(p))
}

func (o *Office) loadTravellers(r *http.Request, f *form) (travellersProps, error) {
	car, err := o.carOf(r)
	if err != nil {
		return travellersProps{}, err
	}
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return travellersProps{}, err
	}
	routes, err := o.routesByID(r.Context(), routesOf(pieces, nil))
	if err != nil {
		return travellersProps{}, err
	}
	p := travellersProps{Form: f, Car: car, Path: carPath(car.WorkOrder) + "/travellers", Scheme: ui.NewScheme(car.Ground, car.Grain)}
	chosen := chosenPieces(f, pieces)
	p.Picks = picks(pieces, chosen)
	p.chooseSize(cardSizes(visitOf(r).Settings.Units))
	if !f.ok() {
		return p, nil
	}
	paint, err := o.loadCarPaint(r.Context(), car.ID)
	if err != nil {
		return p, err
	}
	v := visitOf(r)
	view := pieceView{Car: car, Routes: routes, Now: v.Now, Loc: v.Loc, Units: v.Settings.Units}
	base := cmp.Or(v.Settings.Labels.Address, o.address(r))
	cards := make([]travellerCard, len(chosen))
	for i, piece := range chosen {
		if cards[i], err = view.traveller(piece, paint, base); err != nil {
			return p, err
		}
	}
	p.Cards, p.Sheets = len(cards), slices.Collect(slices.Chunk(cards, p.Size.Each))
	p.Style = pageStylePath(p.Size.W, p.Size.H)
	return p, nil
}

// chooseSize reads the paper.
func (p *travellersProps) chooseSize(sizes []cardSize) {
	p.Size = sizes[0]
	keys := make([]string, len(sizes))
	for i, s := range sizes {
		keys[i] = s.Key
		p.Sizes = append(p.Sizes, ui.Option{Value: s.Key, Word: s.Word})
	}
	if p.Form.get(printCard) == "" {
		p.Form.values.Set(printCard, sizes[0].Key)
	}
	if at := slices.Index(keys, oneOf(p.Form, printCard, keys)); at >= 0 {
		p.Size = sizes[at]
	}
}

// traveller lays out the card of a piece.
func (v pieceView) traveller(p restoration.Piece, paint carPaint, base string) (travellerCard, error) {
	qr, err := labels.NewQR(labels.Address(base, p.Label))
	if err != nil {
		return travellerCard{}, err
	}
	route := v.Routes[p.RouteID]
	return travellerCard{
		Piece: p.Name, Where: whereWords(p.Details), Car: v.Car.WorkOrder + " · " + v.Car.Name,
		Code: strings.Join(strings.Split(p.Label, ""), " "), Name: p.Label, QR: qr, Note: p.Note,
		Facts: v.travellerFacts(p, paint), Rows: v.travellerRows(p, route, paint.back), Cautions: paint.cautionsAhead(p, route),
	}, nil
}

func (v pieceView) travellerFacts(p restoration.Piece, paint carPaint) []ui.Fact {
	facts := []ui.Fact{
		{Term: "Set", Text: p.Set},
		{Term: "Scheme", Text: schemeWords(p.Details, v.Car)},
		{Term: "Lies at", Text: p.LiesAt},
		{Term: "Metal, worked", Text: joinWords(p.Metal, mountingWord(p.Mounting))},
		{Term: "Condition", Text: gradeWords(p.Details)},
	}
	if len(p.Faults) > 0 {
		facts = append(facts, ui.Fact{Term: "Faults", Text: restoration.FormatFaults(p.Faults)})
	}
	if p.Holding != nil {
		facts = append(facts, ui.Fact{Term: "Held", Text: p.Holding.Reason})
	}
	facts = append(facts, paint.recipe(p, v.Units)...)
	return slices.DeleteFunc(facts, func(f ui.Fact) bool { return f.Text == "" })
}

// travellerRows are the steps of the present pass, in the order of the route; back tells
// what sent the piece back to one.
func (v pieceView) travellerRows(p restoration.Piece, route restoration.Route, back map[restoration.ID]string) []travellerRow {
	var rows []travellerRow
	for _, s := range p.Steps {
		stage, ok := route.Stage(s.Stage)
		if !s.Current() || !ok {
			continue
		}
		row := travellerRow{Look: stage.Look, Stage: stage.Name, Pass: s.Pass, Defect: back[s.ID], Planned: s.Planned.Likely, State: s.State}
		switch s.State {
		case restoration.StepDone:
			row.Done, row.By = s.DoneAt.In(v.Loc).Format("2 Jan 2006"), s.DoneName
		case restoration.StepSkipped:
			row.Done = "skipped: " + s.Reason
		}
		rows = append(rows, row)
	}
	return rows
}
