package bench

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// filmOf is what the piece carries by the ledger, against its scheme.
func (s *testShop) filmOf(name string) coating.Film {
	s.t.Helper()
	p := s.piece(name)
	sc, err := s.store.FilmScene(s.t.Context(), p.ID)
	require.NoError(s.t, err)
	route, err := s.store.FindRoute(s.t.Context(), p.RouteID)
	require.NoError(s.t, err)
	return restoration.FilmOf(p, route, sc.Deeds, sc.Policy())
}

// coats counts the coats on all pieces of the car.
func (s *testShop) coats() (n int) {
	s.t.Helper()
	deeds, err := s.store.CarFilm(s.t.Context(), s.car.ID)
	require.NoError(s.t, err)
	for _, d := range deeds {
		if d.Kind == restoration.KindCoat {
			n++
		}
	}
	return n
}

func (s *testShop) lastDeed(name string) restoration.Deed {
	s.t.Helper()
	deeds, err := s.store.Film(s.t.Context(), s.pieces[name].ID)
	require.NoError(s.t, err)
	require.NotEmpty(s.t, deeds)
	return deeds[len(deeds)-1]
}

func TestACoatIsLoggedAsThePageFillsItIn(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	page := b.get(path).body
	require.Contains(t, page, paint[coating.Clear].Name)
	require.Contains(t, page, "0 of 4 sprayed")
	require.Contains(t, page, `href="`+path+`/coat"`)

	form := filmForm(t, b.get(path+"/coat").body, path+"/coat", nil)
	require.Equal(t, "1", form.Get("coat.number"))
	require.Len(t, form["coat.lots"], len(paint[coating.Clear].Parts), "the only tin of each part")
	require.Empty(t, form.Get("coat.wet_um"), "as the sheet says")
	got := b.post(path+"/coat", form)
	require.Equal(t, path, got.path)
	require.Contains(t, got.body, "coat 1 on cleared: "+paint[coating.Clear].Name)
	require.Contains(t, got.body, "1 of 4 sprayed")
	require.Contains(t, got.body, "Between coats")
	require.Regexp(t, `flash off \d+\x{a0}min: wait \d+\x{a0}min, until \d\d:\d\d`, got.body)
	require.NotContains(t, got.body, "Afterwards", "the waits are named once")

	d := s.lastDeed("Ash tray")
	require.Equal(t, paint[coating.Clear].ID, d.Material)
	require.Greater(t, d.ML, 0.0, "the piece's share of the mix")
	require.Equal(t, restoration.StepInHand, s.piece("Ash tray").Steps[5].State, "a coat takes the step in hand")

	form = filmForm(t, b.get(path+"/coat").body, path+"/coat", nil)
	require.Equal(t, "2", form.Get("coat.number"))
	require.Len(t, form["coat.lots"], len(paint[coating.Clear].Parts), "the tins used last")
}

func TestWhatIsTypedOfACoatIsKeptAndAskedAbout(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	fresh := func(more url.Values) url.Values { return filmForm(t, b.get(path+"/coat").body, path+"/coat", more) }

	got := b.post(path+"/coat", fresh(url.Values{"coat.air.air_c": {"1.234,5"}, "coat.wet_um": {"65"}}))
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "“1.234,5” can&#39;t be read. Give a number such as 21.5.")
	require.Contains(t, got.body, `value="65"`, "nothing typed is lost")

	hot := url.Values{"coat.air.air_c": {"21,5"}, "coat.air.humidity": {"50"}, "coat.air.surface_c": {"72"}}
	got = b.post(path+"/coat", fresh(hot))
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "Typed in °F it is 22.2 °C")
	require.NotRegexp(t, `data-wants="sure" hidden`, got.body, "the word that it is so is asked for")
	form := filmForm(t, got.body, path+"/coat", url.Values{"checks": {restoration.CheckSure}})
	require.Equal(t, "72", form.Get("coat.air.surface_c"))
	require.Equal(t, path, b.post(path+"/coat", form).path, "confirmed, it is taken")

	got = b.post(path+"/coat", fresh(url.Values{"coat.air.humidity": {"101"}}))
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Equal(t, 1, strings.Count(got.body, "101 %"), "said once, at its field")
	require.Regexp(t, `id="coat.air.humidity-error"[^>]*><p class="error">Humidity can&#39;t be 101 %`, got.body)

	group := s.batchOf(restoration.LookCleared)
	got = b.post(group, filmForm(t, b.get(group).body, group, url.Values{"coat.air.humidity": {"101"}}))
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Equal(t, 1, strings.Count(got.body, "101 %"), "and of a group")
}

func TestAnEmptyTinAsksForAReasonBefore(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	lots, err := s.store.Lots(t.Context())
	require.NoError(t, err)
	for _, l := range lots {
		if l.Material == paint[coating.Clear].ID {
			l.ExpiresOn = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
			_, err = s.store.SaveLot(t.Context(), s.owner, l)
			require.NoError(t, err)
		}
	}
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	page := b.get(path + "/coat")
	require.Contains(t, page.body, "past its date, 1 Mar 2026")
	form := filmForm(t, page.body, path+"/coat", nil)
	require.Empty(t, form["coat.lots"], "a tin past its date is not ticked by itself")
	form["coat.lots"] = []string{trimmed(float64(firstLot(lots, paint[coating.Clear].ID)), 0)}
	got := b.post(path+"/coat", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.NotRegexp(t, `data-wants="reason" hidden`, got.body)
	require.Equal(t, 1, strings.Count(got.body, `<p class="refusal">`), "what asks for a reason is said once")
	require.NotContains(t, got.body, "1 Mar 2026. Put it right")
	require.Contains(t, got.body, `<p class="error" id="own-error">`, "and that the reason is missing stands at its field")
	form = filmForm(t, got.body, path+"/coat", url.Values{"reason": {"Owner said so"}})
	require.NotEmpty(t, form["coat.lots"], "what was ticked stays so")
	require.Equal(t, path, b.post(path+"/coat", form).path)
}

func firstLot(lots []restoration.Lot, material int64) int64 {
	for _, l := range lots {
		if l.Material == material {
			return l.ID
		}
	}
	return 0
}

func TestDoneSaysBeforeWhatItNeeds(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	s.spray("Ash tray", paint[coating.Clear], 1, time.Minute)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	body := b.get(path).body
	require.Contains(t, body, "asks for 4 coats of clear, 1 logged so far", "said before it is saved")
	form := formOf(t, body, path+"/tick", url.Values{"reason": {"Fewer coats agreed"}})
	require.Equal(t, "/bench", b.post(path+"/tick", form).path, "with its reason it goes through at once")
	require.Equal(t, restoration.StepDone, s.piece("Ash tray").Steps[5].State)
}

func TestPassesSayBeforeWhatTheyLeave(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	s.cutReady("Ash tray", paint[coating.Clear])
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	before := s.filmOf("Ash tray")
	require.True(t, before.Known())
	require.Contains(t, b.get(path).body, restoration.FilmWords(before.Clear.Likely, restoration.Metric))

	page := b.get(path + "/cut").body
	after := before.Clear.Likely - 12 // one pass of P800 takes 12 µm, likely
	require.Contains(t, page, "leaves about "+ui.Unbroken(restoration.FilmWords(after, restoration.Metric)))
	form := formOf(t, page, path+"/cut", url.Values{"cut.grade": {"P800"}, "cut.wet": {"1"}})
	got := b.post(path+"/cut", form)
	require.Equal(t, path+"/cut", got.path, "passes follow one another")
	require.Contains(t, got.body, "sanded with P800, wet")
	require.InDelta(t, after, s.filmOf("Ash tray").Clear.Likely, 0.01)
	require.Contains(t, got.body, "scratches of P800 stay", "from P800 to P2000 is too far")
}

// A grade coarser than the one before says so on its button before it saves, and the rules
// keep it in the entry.
func TestACoarserGradeSaysSoBefore(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	s.cutReady("Ash tray", paint[coating.Clear])
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	const says = "coarser than the last pass"
	page := b.get(path + "/cut").body
	require.NotContains(t, page, says)
	page = b.post(path+"/cut", formOf(t, page, path+"/cut", url.Values{"cut.grade": {"P1500"}})).body
	require.Equal(t, 3, strings.Count(page, says), "P800, P1000 and P1200")
	got := b.post(path+"/cut", formOf(t, page, path+"/cut", url.Values{"cut.grade": {"P1200"}}))
	require.Contains(t, got.body, "P1200 is "+says+", P1500: its scratches must come out again.")
}

// What two grades leave reads the same only where it is: of 262.3 µm P2000 takes 2 and
// compound 2.7, which to a tenth of a mil are both 10.2.
func TestGradesThatLeaveOtherFilmsLookApart(t *testing.T) {
	t.Parallel()
	passes := []passView{{left: 260.3, Leaves: "x"}, {left: 259.6, Leaves: "x"}, {Grade: "P5000"}}
	tellApart(passes, restoration.US)
	require.Equal(t, []string{"leaves about 10.25\u00a0mil", "leaves about 10.22\u00a0mil", ""}, []string{passes[0].Leaves, passes[1].Leaves, passes[2].Leaves})
}

func TestAPassThatMayGoThroughIsHeld(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	s.cutReady("Ash tray", paint[coating.Clear])
	in := pieceInput{Piece: s.piece("Ash tray"), Film: &filmInput{}}
	in.Film.Scene.Film = restoration.StockFilm()
	in.Film.Scene.Scheme = restoration.StockScheme(s.car.ID, "")
	film := coating.Film{Layers: []coating.LayerFilm{{Layer: coating.Clear, On: coating.Exactly(62), Left: coating.Exactly(62)}}, Clear: coating.Exactly(62), Edge: coating.Exactly(62)}
	for grade, want := range map[string]passView{
		"P800":  {Leaves: "leaves about 50\u00a0µm", Warn: "could go under the floor", Hold: true}, // 62 − 15 at the worst = 47 < 50
		"P2000": {Leaves: "leaves about 60\u00a0µm", Warn: "then only 9\u00a0µm may go"},           // 62 − 3 − 50
		"P5000": {},
	} {
		got := in.pass(film, restoration.Deed{}, grade)
		require.Equal(t, want.Leaves, got.Leaves, grade)
		require.Equal(t, want.Hold, got.Hold, grade)
		require.Equal(t, want.Warn, got.Warn, grade)
	}
}

func TestMeasureBeginsWithTheBaseline(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	form := filmForm(t, b.get(path+"/measure").body, path+"/measure", url.Values{"reading.film_um": {"101", "103", "102,0"}})
	require.Equal(t, "1", form.Get("reading.baseline"), "no clear is on yet")
	require.Equal(t, path, b.post(path+"/measure", form).path)
	d := s.lastDeed("Ash tray")
	require.True(t, d.Reading.Baseline)
	require.Equal(t, []float64{101, 103, 102}, d.Reading.FilmUM)
	require.Equal(t, "Middle", d.Reading.Spot)

	s.spray("Ash tray", paint[coating.Clear], 1, time.Minute)
	form = filmForm(t, b.get(path+"/measure").body, path+"/measure", url.Values{"reading.film_um": {"3000", "3000", "3000"}, "spot_own": {"By the lock"}})
	require.Empty(t, form.Get("reading.baseline"), "clear is on")
	got := b.post(path+"/measure", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status, "3 mm is asked about")
	require.Contains(t, got.body, "3000")
	form = filmForm(t, b.get(path+"/measure?what=gloss").body, path+"/measure", url.Values{"reading.gloss.gu": {"71.5"}})
	require.Equal(t, "20", form.Get("reading.gloss.angle"), "the angle that the scheme is agreed at")
	got = b.post(path+"/measure", form)
	require.Contains(t, got.body, "Gloss is 71.5 GU at 20°, 85 GU at 20° is wanted.", "what was found is said at once")
	form = filmForm(t, b.get(path+"/measure?what=colour").body, path+"/measure", url.Values{"reading.lab.l": {"52.3"}, "reading.lab.a": {"8"}, "reading.lab.b": {""}})
	got = b.post(path+"/measure", form)
	require.Contains(t, got.body, "Give b*")
	require.Contains(t, got.body, `value="52.3"`)
}

// A reading that the log of coats doesn't bear out is said before it is saved, and kept.
func TestAReadingFarFromTheLogIsSaidBefore(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	typed := func(more ...string) url.Values {
		return filmForm(t, b.get(path+"/measure").body, path+"/measure", url.Values{"reading.film_um": more})
	}
	require.Equal(t, path, b.post(path+"/measure", typed("101", "103", "102")).path)
	s.pass(time.Hour)
	s.spray("Ash tray", paint[coating.Clear], 1, time.Minute)

	form := typed("300", "300", "300")
	form.Set(workAgain, "1")
	got := b.post(path+"/measure", form)
	require.Equal(t, http.StatusOK, got.status)
	const says = "The gauge says 198 µm of clear, the log of coats gives "
	require.Contains(t, got.body, says)
	require.Contains(t, got.body, "Read 1 caution")
	require.Equal(t, restoration.KindCoat, s.lastDeed("Ash tray").Kind, "judging saves nothing")
	form["reading.film_um"] = []string{"300", "300", ""}
	require.NotContains(t, b.post(path+"/measure", form).body, "Read 1 caution", "one reading is still missing")

	got = b.post(path+"/measure", typed("300", "300", "300"))
	require.Equal(t, path, got.path)
	require.Contains(t, got.body, says)
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID, Limit: 1})
	require.NoError(t, err)
	require.Contains(t, strings.Join(entries[0].Event.Facts.Warnings, " "), says)
}

func TestStrikeOutNeedsAReason(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	id := s.spray("Ash tray", paint[coating.Clear], 1, time.Minute)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	strike := path + "/strike?ref=" + id.String()
	require.Contains(t, b.get(path).body, `href="`+strike+`"`)
	form := formOf(t, b.get(strike).body, path+"/strike", nil)
	got := b.post(path+"/strike", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "Choose a reason")
	form["reason"] = []string{"Wrong piece"}
	require.Equal(t, path, b.post(path+"/strike", form).path)
	deeds, err := s.store.Film(t.Context(), s.pieces["Ash tray"].ID)
	require.NoError(t, err)
	require.Empty(t, deeds)
	require.Equal(t, http.StatusNotFound, b.get(strike).status)
}

// measures has the shop read and type in other units from now on.
func (s *testShop) measures(units restoration.Units) {
	s.t.Helper()
	shop := restoration.StockSettings()
	shop.Units = units
	require.NoError(s.t, s.store.SaveSettings(s.t.Context(), s.owner, shop))
}

func TestFilmInUSUnits(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.measures(restoration.US)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	form := filmForm(t, b.get(path+"/coat").body, path+"/coat", url.Values{
		"coat.wet_um": {"2"}, "coat.air.air_c": {"68"}, "coat.air.humidity": {"50"}, "coat.air.surface_c": {"68"}})
	got := b.post(path+"/coat", form)
	require.Equal(t, path, got.path)
	require.Contains(t, got.body, "2.00 mil wet is thinner than the sheet: 2.17–2.68 mil", "55–68 µm")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID, Limit: 1})
	require.NoError(t, err)
	c := entries[0].Event.Coat
	require.InDelta(t, 50.8, *c.WetUM, 1e-9, "2 mil")
	require.InDelta(t, 20, *c.Air.AirC, 1e-9, "68 °F")
}
