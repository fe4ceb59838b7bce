package office

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const batchesPath = "/office/batches"

func (o *Office) batchRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/batches", h(o.showBatches))
	r.Get("/batches/print", h(o.printBatches))
}

// The choices of the batches page in its address.
const (
	batchHours = "hours" // how far ahead
	batchTemp  = "temp"  // of the air, in the shop's unit
	batchOnly  = "batch" // key of the one to print
)

// horizons are how far ahead a batch may be gathered, in hours; the first is offered.
var horizons = []ui.Option{
	{Value: "0", Word: "now"}, {Value: "2", Word: "within 2 h"}, {Value: "4", Word: "within 4 h"},
	{Value: "8", Word: "within 8 h"}, {Value: "24", Word: "within a day"}, {Value: "72", Word: "within 3 days"},
}

// batchesProps is what can be sprayed together.
type batchesProps struct {
	Page    ui.PageProps
	Here    string // address with its choices, for refetching
	Form    *form
	Air     []airLine
	Temp    unit
	Batches []batchCard
	Print   string // address of the print-out; "" nothing to print
	Scheme  ui.Scheme
}

// batchCard is a batch in words.
type batchCard struct {
	restoration.Batch
	ID       string // of its element
	Title    string // "Cleared with Marsh clear"
	CarHref  string
	When     string
	Shuts    string
	Ready    string // "4 pieces, 3 of them now"
	Area     string
	Need     string
	Mixes    string // "2 mixes of 160 mL, each gone in 2 h"
	Pot      string
	Saved    string
	Wet      string
	Warnings []string // of the air
	Cautions []restoration.Caution
	Rows     []batchRow
	Print    string
}

// batchRow is a piece of a batch.
type batchRow struct {
	Title, Href, Label   string
	Car, CarHref, LiesAt string
	Area, ML             string
	Coats                int
	When                 string // "" now
	Shut                 bool
}

// batchView lays batches out.
type batchView struct {
	visit
	routes map[int64]restoration.Route
	air    []restoration.AirReading
	query  url.Values
}

func (o *Office) showBatches(w http.ResponseWriter, r *http.Request) error {
	p, err := o.loadBatches(r)
	if err != nil {
		return err
	}
	p.Page = o.page(r, ui.PageProps{Title: "Batches", Nav: navPaint,
		Lede: "What can be sprayed together: the same stage, the same material, its waits over. What saves most set-up comes first."})
	return web.Render(w, r, http.StatusOK, batchesPage(p))
}

// printBatches is the page for the mixing bench, a sheet a batch.
func (o *Office) printBatches(w http.ResponseWriter, r *http.Request) error {
	p, err := o.loadBatches(r)
	if err != nil {
		return err
	}
	if only := r.URL.Query().Get(batchOnly); only != "" {
		p.Batches = slices.DeleteFunc(p.Batches, func(b batchCard) bool { return b.Key != only })
	}
	p.Page = o.page(r, ui.PageProps{Title: "For the mixing bench", Nav: navPaint})
	return web.Render(w, r, http.StatusOK, mixingPage(p))
}

// loadBatches works out the batches that the address asks for.
func (o *Office) loadBatches(r *http.Request) (batchesProps, error) {
	v := visitOf(r)
	f := &form{values: r.URL.Query()}
	shop, err := o.shop.SprayKeys(r.Context())
	if err != nil {
		return batchesProps{}, err
	}
	air, err := o.shop.LatestAir(r.Context())
	if err != nil {
		return batchesProps{}, err
	}
	temp := unitsOf(v.Settings.Units).temp
	horizon := parseBatchChoices(f, &shop, temp)
	view := batchView{visit: v, routes: shop.Routes, air: air, query: f.values}
	p := batchesProps{Here: r.URL.RequestURI(), Form: f, Temp: temp, Air: airLines(air, v), Scheme: ui.NewScheme("", "")}
	for _, b := range restoration.Batches(shop, v.Now, horizon) {
		p.Batches = append(p.Batches, view.card(b))
	}
	if len(p.Batches) > 0 {
		p.Print = batchesPath + "/print?" + f.values.Encode()
	}
	return p, nil
}

// parseBatchChoices reads how far ahead to look and the temperature; what can't be
// right is told and left as it is.
func parseBatchChoices(f *form, shop *restoration.SprayShop, temp unit) time.Duration {
	if !f.values.Has(batchHours) {
		f.values.Set(batchHours, horizons[0].Value)
	}
	words := make([]string, len(horizons))
	for i, h := range horizons {
		words[i] = h.Value
	}
	hours, _ := strconv.Atoi(oneOf(f, batchHours, words)) // one of the list above, or a fault
	if s := f.get(batchTemp); !blank(s) {
		c := f.figure(batchTemp, temp, shop.TempC)
		switch {
		case f.error(batchTemp) != "":
		case c < coldestShop || c > hottestShop:
			f.fault(batchTemp, "No shop sprays at %s. Was it meant in the other unit? Here it is %s.", temp.says(c), temp.word)
		default:
			shop.TempC = c
		}
	} else {
		f.values.Set(batchTemp, temp.typed(shop.TempC))
	}
	return time.Duration(hours) * time.Hour
}

// What a shop's air may be at when something is sprayed, in °C; common practice, no source.
const coldestShop, hottestShop = 0, 45

func (v batchView) card(b restoration.Batch) batchCard {
	c := batchCard{Batch: b, ID: "batch-" + b.Key, Title: b.Stage, When: "now", Area: ui.Area(b.AreaM2, v.us()),
		Saved: hoursOf(b.Saved), Ready: ui.Count(len(b.Pieces), "piece", "pieces")}
	if b.Material != nil {
		c.Title += " with " + b.Material.Name
		if b.WetUM.Likely > 0 {
			c.Wet = rangeWords(b.WetUM, unitsOf(v.Settings.Units).film)
		}
		c.Warnings = v.warnings(b.Material.Limits)
	}
	if b.Car != nil {
		c.CarHref = carPath(b.Car.WorkOrder)
	}
	if b.From.After(v.Now) {
		c.When = "all from " + ui.Clock(b.From, v.Now, v.Loc)
	}
	if b.Ready < len(b.Pieces) {
		c.Ready += ", " + strconv.Itoa(b.Ready) + " of them now"
	}
	if !b.Shuts.IsZero() {
		c.Shuts = ui.Clock(b.Shuts, v.Now, v.Loc)
	}
	v.mixWords(&c)
	for _, p := range b.Pieces {
		c.Rows = append(c.Rows, v.row(p))
	}
	c.Cautions = v.cautions(b)
	query := url.Values{batchHours: v.query[batchHours], batchTemp: v.query[batchTemp], batchOnly: {b.Key}}
	c.Print = batchesPath + "/print?" + query.Encode()
	return c
}

func (v batchView) us() bool { return v.Settings.Units == restoration.US }

func (v batchView) mixWords(c *batchCard) {
	if c.NeedML > 0 {
		c.Need = volumeWords(c.NeedML)
		c.Mixes = ui.Count(c.Mix.Count, "mix", "mixes") + " of " + volumeWords(c.Mix.EachML)
	}
	switch {
	case c.Material == nil:
	case c.PotLife == 0:
		c.Pot = "keeps"
	case c.Estimated:
		c.Pot = c.PotLife.String() + ", estimated beyond the sheet's temperatures"
	default:
		c.Pot = c.PotLife.String()
	}
}

func (v batchView) row(p restoration.BatchPiece) batchRow {
	row := batchRow{Title: p.Title, Href: piecePath(p.PieceID), Label: p.Label, Car: p.Car.WorkOrder, CarHref: carPath(p.Car.WorkOrder),
		LiesAt: p.LiesAt, Area: ui.Area(p.FaceM2, v.us()), Coats: p.Coats, ML: ui.None, Shut: p.Shut}
	if p.ML > 0 {
		row.ML = volumeWords(p.ML)
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
			says = append(says, airWarning(w, v.Settings.Units)+" ("+a.Sensor+").")
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
