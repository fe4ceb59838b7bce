package office

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// readyToPrime is a shop with pieces whose next step is the primer.
func readyToPrime(t *testing.T) (floor, restoration.Car, []restoration.Piece) {
	t.Helper()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 4)
	for _, p := range pieces[:3] {
		f.tick(p, 1, f.ida, noon.Add(-time.Hour))
	}
	return f, car, pieces
}

func TestBatches(t *testing.T) {
	t.Parallel()
	f, _, pieces := readyToPrime(t)
	said := parsePage(t, f.get(batchesPath).body).text()
	require.Contains(t, said, "The shop's list has no primer of its own.", "an example is never taken by itself")

	m := f.addMaterial(seaPrimer())
	said = parsePage(t, f.get(batchesPath).body).text()
	require.Contains(t, said, "Primed with Sea primer")
	require.Contains(t, said, "No tin of Sea primer is at hand that may be used.")
	f.tinOf(m, "N7", 5000)
	page := f.get(batchesPath)
	said = parsePage(t, page.body).text()
	require.NotContains(t, said, "No tin of")
	require.Contains(t, said, "3 pieces")
	for _, p := range pieces[:3] {
		require.Contains(t, page.body, `href="`+piecePath(p.ID)+`"`)
	}
	require.NotContains(t, page.body, piecePath(pieces[3].ID), "its steel is not bare yet")
}

// A swatch has the colours of its car; where pieces of two schemes share a coat none
// stands for both, unless it is too early for colour to show.
func TestBatchSwatchHasTheColoursOfItsCar(t *testing.T) {
	t.Parallel()
	red := restoration.Car{ID: 1, Ground: "#8a3f24", Grain: "#35120a"}
	pale := restoration.Car{ID: 2, Ground: "#c99a5b", Grain: "#7a4a1e"}
	of := func(look restoration.Look, pieces ...restoration.SprayKey) *ui.Scheme {
		b := restoration.Batch{Look: look}
		for _, p := range pieces {
			b.Pieces = append(b.Pieces, restoration.BatchPiece{SprayKey: &p})
		}
		return batchScheme(b)
	}
	own, other := restoration.SprayKey{Car: &red}, restoration.SprayKey{Car: &pale}
	require.Equal(t, ui.NewScheme(red.Ground, red.Grain), *of(restoration.LookGrounded, own, own))
	require.Equal(t, ui.NewScheme(pale.Ground, pale.Grain), *of(restoration.LookCleared, other))
	require.Nil(t, of(restoration.LookCleared, own, other), "two cars")
	require.Nil(t, of(restoration.LookGrounded, own, restoration.SprayKey{Car: &red, Scheme: "Painted"}), "two schemes of a car")
	require.NotNil(t, of(restoration.LookGrounded, restoration.SprayKey{Car: &red, Scheme: "painted"}, restoration.SprayKey{Car: &red, Scheme: "Painted"}))
	require.NotNil(t, of(restoration.LookPrimed, own, other), "primer is grey on both")
}

// What the page prints is what the rule worked out: 2 coats of primer of 60 µm on both
// faces, 30 % of it lands, a tenth more, and what stays in the gun, to
// the next mark of the cup.
func TestBatchAmountIsTheRules(t *testing.T) {
	t.Parallel()
	f, _, pieces := readyToPrime(t)
	f.tinOf(f.addMaterial(seaPrimer()), "N7", 5000)
	var m2 float64
	for _, p := range pieces[:3] {
		m2 += p.BothM2
	}
	film := restoration.StockFilm()
	want := math.Ceil((m2*60*2/film.Transfer*(1+film.Waste)+film.FixedML)/10) * 10
	require.Contains(t, parsePage(t, f.get(batchesPath).body).text(), "Ready to spray "+restoration.VolumeWords(want, restoration.Metric)+" for 2 coats")
}

func TestBatchChoices(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		query url.Values
		temp  unit
		hours time.Duration
		tempC float64
		field string // at which something is wrong
	}{
		"nothing asked":     {url.Values{}, inC, 0, 20, ""},
		"a day ahead":       {url.Values{"hours": {"24"}}, inC, 24, 20, ""},
		"a warm day":        {url.Values{"temp": {"27,5"}}, inC, 0, 27.5, ""},
		"in °F":             {url.Values{"temp": {"86"}}, inF, 0, 30, ""},
		"°F typed as °C":    {url.Values{"temp": {"72"}}, inC, 0, 20, "temp"},
		"in words":          {url.Values{"temp": {"warm"}}, inC, 0, 20, "temp"},
		"a year ahead":      {url.Values{"hours": {"8760"}}, inC, 0, 20, "hours"},
		"hours that are no": {url.Values{"hours": {"soon"}}, inC, 0, 20, "hours"},
	} {
		shop := restoration.SprayShop{TempC: 20}
		f := &form{values: c.query}
		require.Equal(t, c.hours*time.Hour, parseBatchChoices(f, &shop, c.temp), name)
		require.InDelta(t, c.tempC, shop.TempC, 1e-9, name)
		require.Equal(t, c.field == "", f.ok(), "%s: %v", name, f.faults)
		if c.field != "" {
			require.NotEmpty(t, f.error(c.field), name)
		}
	}
}

func TestMixingSheets(t *testing.T) {
	t.Parallel()
	f, car, pieces := readyToPrime(t)
	f.tinOf(f.addMaterial(seaPrimer()), "N7", 5000)
	page := f.get(batchesPath)
	href := attribute(parsePage(t, page.body).one("a", "href", batchesPath+"/print?batch=*"), "href")
	a := f.get(href)
	require.Equal(t, http.StatusOK, a.code)
	sheet := parsePage(t, a.body)
	for _, p := range pieces[:3] {
		require.Contains(t, sheet.text(), p.Label)
	}
	require.Contains(t, sheet.text(), car.WorkOrder)
	require.Contains(t, sheet.text(), "By volume one part")
	require.Contains(t, sheet.text(), "Worked out "+ui.Day(noon, time.UTC))
	require.Contains(t, sheet.text(), "No ordinary tablet in the spray area")
	require.Contains(t, sheet.text(), restoration.CautionCloses)
	require.Len(t, sheet.all("svg", "aria-label", "2 boxes"), 3, "a box for each coat of each piece")
	require.Contains(t, f.get(batchesPath+"/print?batch=nothing").text(), "Nothing can be sprayed now.")
}

// Steel that was bare too long is marked on the page and on the print-out.
func TestBatchMarksWhatMustBeCleanedFirst(t *testing.T) {
	t.Parallel()
	f, _, pieces := readyToPrime(t)
	f.tick(pieces[3], 1, f.ida, noon.Add(-25*time.Hour))
	f.tinOf(f.addMaterial(seaPrimer()), "N7", 5000)
	page := parsePage(t, f.get(batchesPath).body).text()
	require.Contains(t, page, "3 pieces; 1 to clean first")
	require.Equal(t, 1, strings.Count(page, "Recoat window shut: clean first"))
	sheet := parsePage(t, f.get(batchesPath+"/print").body).text()
	require.Contains(t, sheet, "3 pieces; 1 to clean first")
	require.Equal(t, 2, strings.Count(sheet, "clean first"), "once by the piece itself")
}

// A batch without a material leads to each scheme that lacks one, once.
func TestBatchLeadsToTheSchemeThatNamesNoMaterial(t *testing.T) {
	t.Parallel()
	one, two := &restoration.Car{ID: 1, WorkOrder: "26-001"}, &restoration.Car{ID: 2, WorkOrder: "26-002"}
	b := restoration.Batch{Layer: coating.Clear, Stage: "Cleared"}
	for _, k := range []restoration.SprayKey{{Car: one}, {Car: one}, {Car: one, Scheme: "Burr"}, {Car: two}, {Car: two, Scheme: "Oak"}} {
		b.Pieces = append(b.Pieces, restoration.BatchPiece{SprayKey: &k})
	}
	v := batchView{visit: visit{Now: noon, Loc: time.UTC, Settings: restoration.StockSettings()}, query: url.Values{},
		schemes: map[restoration.SchemeKey]restoration.Scheme{{CarID: 1}: {ID: 7, CarID: 1}, {CarID: 1, Name: "burr"}: {ID: 8, CarID: 1, Name: "Burr"}}}
	require.Equal(t, []schemeLink{
		{"26-001: the car's finish names no clear", finishPath("26-001") + "/7"},
		{"26-001: Burr names no clear", finishPath("26-001") + "/8"},
		{"26-002: no finish is agreed", finishPath("26-002")},
		{"26-002: Oak is no finish of the car yet", finishPath("26-002")},
	}, v.card(b).Choose)
	b.Material = &restoration.Material{}
	require.Empty(t, v.card(b).Choose)
}

// A piece that cures, or whose window shuts too early, says until when; no share is told.
func TestBatchRowsOfShutPieces(t *testing.T) {
	t.Parallel()
	v := batchView{visit: visit{Now: noon, Loc: time.UTC, Settings: restoration.StockSettings()}}
	row := func(p restoration.BatchPiece) batchRow {
		p.SprayKey = &restoration.SprayKey{Car: &restoration.Car{WorkOrder: "26-001"}}
		return v.row(p)
	}
	r := row(restoration.BatchPiece{First: restoration.FirstCure, Full: true, From: noon.Add(time.Hour)})
	require.Equal(t, []string{"Cures until " + v.clock(noon.Add(time.Hour)) + ", then flat", "", ui.None}, []string{r.First, r.When, r.ML})
	r = row(restoration.BatchPiece{First: restoration.FirstFlat, Shuts: noon.Add(time.Hour), From: noon.Add(2 * time.Hour)})
	require.Equal(t, "Window shuts "+v.clock(noon.Add(time.Hour))+", before it may be sprayed: flat first", r.First)
	r = row(restoration.BatchPiece{From: noon.Add(time.Hour), ML: 80})
	require.Equal(t, []string{"", "from " + v.clock(noon.Add(time.Hour)), v.volume(80)}, []string{r.First, r.When, r.ML})
}

// A page shows so many batches; each is on one page and no other.
func TestBatchPages(t *testing.T) {
	t.Parallel()
	all := make([]restoration.Batch, 2*batchesAPage+1)
	for i := range all {
		all[i].Key = fmt.Sprint(i)
	}
	seen := map[string]int{}
	for page := 1; page <= 3; page++ {
		var p batchesProps
		for _, b := range p.onPage(all, &url.URL{Path: batchesPath, RawQuery: fmt.Sprint("page=", page)}) {
			seen[b.Key]++
		}
		require.Equal(t, page, p.Pager.Page)
	}
	require.Len(t, seen, len(all))
	var p batchesProps
	require.Len(t, p.onPage(all, &url.URL{RawQuery: "page=99"}), 1, "beyond the last is the last")
	require.Empty(t, p.onPage(nil, &url.URL{RawQuery: "page=-1"}))
}

func TestLongBatchIsCut(t *testing.T) {
	t.Parallel()
	b := restoration.Batch{Pieces: make([]restoration.BatchPiece, rowsABatch+2)}
	for i := range b.Pieces {
		b.Pieces[i].SprayKey = &restoration.SprayKey{Car: &restoration.Car{WorkOrder: "26-001"}}
	}
	v := batchView{visit: visit{Now: noon, Loc: time.UTC, Settings: restoration.StockSettings()}, rows: rowsABatch, query: url.Values{}}
	c := v.card(b)
	require.Len(t, c.Rows, rowsABatch)
	require.Equal(t, "2 more pieces stand on its print-out.", c.More)
}

// One lot serves a car, so that two cars may be ready for the same coat: their batches
// are told apart by their headings, on the page and on the print-out.
func TestBatchesOfTwoCarsAreToldApart(t *testing.T) {
	t.Parallel()
	v := batchView{visit: visit{Now: noon, Loc: time.UTC, Settings: restoration.StockSettings()}, rows: rowsABatch, query: url.Values{}}
	b := restoration.Batch{Stage: "Grounded", Material: &restoration.Material{}, Pieces: []restoration.BatchPiece{{
		SprayKey: &restoration.SprayKey{Car: &restoration.Car{WorkOrder: "26-001"}}}}}
	b.Material.Name = "Sea ground"
	require.Equal(t, "Grounded with Sea ground", v.card(b).Title)
	for _, order := range []string{"26-001", "26-002"} {
		b.Car = &restoration.Car{WorkOrder: order}
		require.Equal(t, "Grounded with Sea ground for "+order, v.card(b).Title)
	}
}

// What speaks against spraying in the air of a sensor is said by the sheet's own limits,
// as long as the reading is fresh.
func TestBatchWarnsOfTheAir(t *testing.T) {
	t.Parallel()
	surface := 8.0
	v := batchView{visit: visit{Now: noon, Loc: time.UTC, Settings: restoration.StockSettings()},
		air: []restoration.AirReading{{At: noon, AirC: 12, Humidity: 82, SurfaceC: &surface, Sensor: "Booth"}, {At: noon.Add(-time.Hour), AirC: -5, Humidity: 99, Sensor: "Old"}}}
	limits := coating.Limits{AirMinC: 15, RHMax: 75}
	require.Equal(t, []string{"Surface at dew point: wet (Booth).", "Air under 15 °C (Booth).", "Humidity over 75 % (Booth)."}, v.warnings(limits))
	v.Settings.Units = restoration.US
	require.Contains(t, strings.Join(v.warnings(limits), " "), "Air under 59 °F (Booth).")
}

// No page about paint has a barrier that axe-core finds, nor is wider than its screen.
func TestPaintWithoutBarriers(t *testing.T) {
	t.Parallel()
	f, car, pieces := readyToPrime(t)
	m := f.addMaterial(seaPrimer())
	lot := f.tinOf(m, "N7", 5000)
	f.primed(pieces[3], m, lot, 40)
	_, err := f.bench.store.SaveScheme(t.Context(), f.by, restoration.StockScheme(car.ID, ""))
	require.NoError(t, err)
	b := f.openDesk(browsertest.Desk)
	for _, path := range []string{batchesPath + "?hours=72", batchesPath + "?hours=x&temp=x", batchesPath + "/print?hours=72", materialsPath, materialsPath + "/new",
		materialPath(m.ID), lotsPath, lotPath(lot.ID), lotPath(lot.ID) + "/edit", sensorsPath, finishPath(car.WorkOrder), finishPath(car.WorkOrder) + "/1"} {
		b.Go(path)
		require.Empty(t, b.Barriers(), path)
		for _, d := range browsertest.AllDevices {
			b.Resize(d)
			require.Equal(t, "0", b.TooWide(), "%s at %d", path, d.W)
		}
	}
}
