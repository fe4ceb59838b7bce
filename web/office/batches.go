package office

import (
	"math"
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

// A shop of many cars has more than a page can show: the batches that save most stand
// first, and the print-out of one has all its pieces.
const (
	batchesAPage = 12
	rowsABatch   = 40
)

// batchesProps is what can be sprayed together.
type batchesProps struct {
	Page    ui.PageProps
	Here    string // address with its choices, for refetching
	Form    *form
	Air     []airLine
	Temp    unit
	Batches []batchCard
	Print   string // address of the print-out; "" nothing to print
	Pager   ui.PagerProps
	Schemes []ui.Scheme // whose swatches are drawn
}

func (o *Office) showBatches(w http.ResponseWriter, r *http.Request) error {
	p, err := o.loadBatches(r, "", rowsABatch)
	if err != nil {
		return err
	}
	p.Page = o.page(r, ui.PageProps{Title: "Batches", Nav: navPaint,
		Lede: "What can be sprayed together: the same stage, the same material, its waits over. What saves most set-up comes first."})
	return web.Render(w, r, http.StatusOK, batchesPage(p))
}

// printBatches is the page for the mixing bench, a sheet a batch.
func (o *Office) printBatches(w http.ResponseWriter, r *http.Request) error {
	p, err := o.loadBatches(r, r.URL.Query().Get(batchOnly), math.MaxInt)
	if err != nil {
		return err
	}
	p.Page = o.page(r, ui.PageProps{Title: "For the mixing bench", Nav: navPaint})
	return web.Render(w, r, http.StatusOK, mixingPage(p))
}

// loadBatches works out the batches that the address asks for, each with at most so
// many of its pieces. only is the key of a single one, "" for a page of all.
func (o *Office) loadBatches(r *http.Request, only string, rows int) (batchesProps, error) {
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
	temp := v.units().temp
	horizon := parseBatchChoices(f, &shop, temp)
	view := batchView{visit: v, schemes: shop.Schemes, routes: shop.Routes, air: air, query: f.values, rows: rows}
	p := batchesProps{Here: r.URL.RequestURI(), Form: f, Temp: temp, Air: airLines(air, v)}
	batches := restoration.Batches(shop, v.Now, horizon)
	if only != "" {
		batches = slices.DeleteFunc(batches, func(b restoration.Batch) bool { return b.Key != only })
	}
	for _, b := range p.onPage(batches, r.URL) {
		c := view.card(b)
		p.Batches = append(p.Batches, c)
		if c.Scheme != nil {
			p.Schemes = append(p.Schemes, *c.Scheme)
		}
	}
	if len(p.Batches) > 0 {
		p.Print = batchesPath + "/print?" + f.values.Encode()
	}
	return p, nil
}

// onPage gives the batches of the page that the address asks for, and sets the links to
// the others.
func (p *batchesProps) onPage(all []restoration.Batch, address *url.URL) []restoration.Batch {
	p.Pager = ui.PagerProps{Address: address, Pages: max(1, (len(all)+batchesAPage-1)/batchesAPage)}
	asked, _ := strconv.Atoi(address.Query().Get(ui.PageParam)) // what is no number begins at the first
	p.Pager.Page = min(max(asked, 1), p.Pager.Pages)
	from := (p.Pager.Page - 1) * batchesAPage
	return all[from:min(from+batchesAPage, len(all))]
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
		case !restoration.SpraysAt(c):
			f.fault(batchTemp, "No shop sprays at %s. Was it meant in the other unit? Here it is %s.", temp.says(c), temp.word)
		default:
			shop.TempC = c
		}
	} else {
		f.values.Set(batchTemp, temp.typed(shop.TempC))
	}
	return time.Duration(hours) * time.Hour
}
