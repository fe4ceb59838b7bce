package office

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// batchCard is a batch in words.
type batchCard struct {
	restoration.Batch
	ID       string     // of its element
	Title    string     // "Cleared with Marsh clear"
	Scheme   *ui.Scheme // colours of the swatch; nil: none can stand for all pieces
	CarHref  string
	When     string
	Shuts    string
	Ready    string // "4 pieces, 3 of them now; 1 to flat first"
	Area     string
	Need     string
	Mixes    string // "2 mixes of 160 mL"
	Pour     []pour // of one mix
	Ratio    string // of its parts; "" no material is chosen
	Worked   string // when the figures were worked out
	Pot      string
	Saved    string
	Wet      string
	Choose   []schemeLink // where a material is to be chosen
	Warnings []string     // of the air
	Cautions []restoration.Caution
	Rows     []batchRow
	More     string // "and 12 more"; "" all are shown
	Print    string
}

// batchRow is a piece of a batch.
type batchRow struct {
	Title, Href, Label   string
	Car, CarHref, LiesAt string
	Area, ML             string
	Coats                int
	When                 string // "" now
	First                string // what it needs first, and why; "" nothing
}

// pour is a part of a mix, and how much of it.
type pour struct{ Name, Amount string }

// schemeLink leads to a scheme that says no material for a layer.
type schemeLink struct{ Words, Href string }

// batchView lays batches out.
type batchView struct {
	visit
	schemes map[restoration.SchemeKey]restoration.Scheme
	routes  map[int64]restoration.Route
	air     []restoration.AirReading
	query   url.Values
	rows    int // shown of a batch
}

func (v batchView) card(b restoration.Batch) batchCard {
	c := batchCard{Batch: b, ID: "batch-" + b.Key, Title: b.Stage, When: "now", Area: ui.Area(b.AreaM2, v.us()),
		Saved: hoursOf(b.Saved), Ready: ui.Count(b.Sprayable(), "piece", "pieces"), Worked: ui.When(v.Now, v.Loc)}
	if b.Material != nil {
		c.Ratio = ratioWords(b.Material.Material)
		c.Title += " with " + b.Material.Name
		if b.WetUM.Likely > 0 {
			c.Wet = rangeWords(b.WetUM, v.units().film)
		}
		c.Warnings = v.warnings(b.Material.Limits)
	}
	c.Scheme = batchScheme(b)
	if b.Material == nil {
		c.Choose = v.choose(b)
	}
	if b.Car != nil {
		c.Title += " for " + b.Car.WorkOrder // two cars may be ready for the same coat
		c.CarHref = carPath(b.Car.WorkOrder)
	}
	if b.From.After(v.Now) {
		c.When = "all from " + ui.Clock(b.From, v.Now, v.Loc)
	}
	v.readyWords(&c)
	if !b.Shuts.IsZero() {
		c.Shuts = ui.Clock(b.Shuts, v.Now, v.Loc)
	}
	v.mixWords(&c)
	for _, p := range b.Pieces[:min(v.rows, len(b.Pieces))] {
		c.Rows = append(c.Rows, v.row(p))
	}
	if more := len(b.Pieces) - len(c.Rows); more > 0 {
		c.More = ui.Count(more, "more piece stands", "more pieces stand") + " on its print-out."
	}
	for _, part := range b.Parts {
		c.Pour = append(c.Pour, pour{part.Name, v.volume(part.ML)})
	}
	c.Cautions = v.cautions(b)
	query := url.Values{batchHours: v.query[batchHours], batchTemp: v.query[batchTemp], batchOnly: {b.Key}}
	c.Print = batchesPath + "/print?" + query.Encode()
	return c
}

// batchScheme gives the colours in which a batch's stage is drawn: those of the pieces'
// car, where all are of one car and scheme. Before the ground goes on, colours don't show
// and any will do. nil: pieces of two schemes share the coat.
func batchScheme(b restoration.Batch) *ui.Scheme {
	first := b.Pieces[0]
	if ui.ShowsScheme(b.Look) && slices.ContainsFunc(b.Pieces, func(p restoration.BatchPiece) bool {
		return p.Car.ID != first.Car.ID || !strings.EqualFold(p.Scheme, first.Scheme)
	}) {
		return nil
	}
	scheme := ui.NewScheme(first.Car.Ground, first.Car.Grain)
	return &scheme
}

// readyWords say how many pieces may be sprayed, and how many need work first.
func (v batchView) readyWords(c *batchCard) {
	switch {
	case c.Sprayable() == 0:
		c.Ready, c.When = "none", "not yet"
	case c.Batch.Ready == 0:
		c.Ready += ", none of them now"
	case c.Batch.Ready < c.Sprayable():
		c.Ready += ", " + strconv.Itoa(c.Batch.Ready) + " of them now"
	}
	if says := c.FirstWords(); says != "" {
		c.Ready += "; " + says
	}
}

func (v batchView) clock(at time.Time) string { return ui.Clock(at, v.Now, v.Loc) }

// choose names each scheme of the pieces that says no material for the batch's layer. A
// car without a scheme of that name is led to where one is agreed.
func (v batchView) choose(b restoration.Batch) []schemeLink {
	var list []schemeLink
	seen := map[restoration.SchemeKey]bool{}
	for _, p := range b.Pieces {
		key := restoration.SchemeKey{CarID: p.Car.ID, Name: strings.ToLower(p.Scheme)}
		if seen[key] {
			continue
		}
		seen[key] = true
		s, agreed := v.schemes[key]
		link := schemeLink{Href: finishPath(p.Car.WorkOrder)}
		switch {
		case agreed:
			link.Words = p.Car.WorkOrder + ": " + s.Title() + " names no " + string(b.Layer)
			link.Href += "/" + formatID(s.ID)
		case p.Scheme == "":
			link.Words = p.Car.WorkOrder + ": no finish is agreed"
		default:
			link.Words = p.Car.WorkOrder + ": " + p.Scheme + " is no finish of the car yet"
		}
		list = append(list, link)
	}
	return list
}

func (v batchView) mixWords(c *batchCard) {
	if c.NeedML > 0 {
		c.Need = v.volume(c.NeedML)
		c.Mixes = ui.Count(c.Mix.Count, "mix", "mixes") + " of " + v.volume(c.Mix.EachML)
	}
	switch {
	case c.Material == nil, c.NeedML == 0: // nothing is mixed
	case c.PotLife == 0:
		c.Pot = "keeps"
	case c.Estimated:
		c.Pot = "about " + c.PotLife.String() + ", estimated for this air"
	default:
		c.Pot = c.PotLife.String()
	}
}

func (v batchView) row(p restoration.BatchPiece) batchRow {
	row := batchRow{Title: p.Title, Href: piecePath(p.PieceID), Label: p.Label, Car: p.Car.WorkOrder, CarHref: carPath(p.Car.WorkOrder),
		LiesAt: p.LiesAt, Area: ui.Area(p.FaceM2, v.us()), Coats: p.Coats, ML: ui.None}
	if says := p.FirstWords(v.Now, v.clock); says != "" {
		row.First = strings.ToUpper(says[:1]) + says[1:]
		return row
	}
	if p.ML > 0 {
		row.ML = v.volume(p.ML)
	}
	if p.From.After(v.Now) {
		row.When = "from " + ui.Clock(p.From, v.Now, v.Loc)
	}
	return row
}

// warnings are what speaks against spraying within a sheet's limits in the air of the
// shop's sensors, if one of them told it lately.
func (v batchView) warnings(limits coating.Limits) []string {
	var says []string
	for _, a := range v.air {
		if a.At.Before(v.Now.Add(-restoration.SensorAge)) {
			continue
		}
		verdict := coating.SprayWindow(coating.Conditions{AirC: &a.AirC, RHPercent: &a.Humidity, SurfaceC: a.SurfaceC}, limits)
		for _, w := range verdict.Warnings {
			says = append(says, restoration.RemarkWords(w, v.Settings.Units)+" ("+a.Sensor+").")
		}
	}
	return says
}

// cautions are those of the stage and the material.
func (v batchView) cautions(b restoration.Batch) []restoration.Caution {
	key := b.Pieces[0]
	stage, _ := v.routes[key.RouteID].Stage(key.Stage)
	return restoration.CautionsFor(stage, b.Material)
}

// batchFacts are the figures of a batch.
func batchFacts(b batchCard) []ui.Fact {
	facts := []ui.Fact{{Term: "May be sprayed", Text: b.When}, {Term: "Pieces", Text: b.Ready}, {Term: "Area", Text: b.Area}}
	if b.Need != "" {
		facts = append(facts, ui.Fact{Term: "Ready to spray", Text: b.Need + " for " + ui.Count(b.Coats, "coat", "coats")})
	}
	if b.Pot != "" {
		facts = append(facts, ui.Fact{Term: "Pot life", Text: b.Pot})
	}
	if b.Batch.Saved > 0 {
		facts = append(facts, ui.Fact{Term: "Set-up saved", Text: b.Saved})
	}
	if b.Shuts != "" {
		facts = append(facts, ui.Fact{Term: "First recoat window shuts", Text: b.Shuts})
	}
	return facts
}
