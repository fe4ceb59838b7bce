package office

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// clearing is a piece that is grained and may be cleared, with the id of that step.
func (f floor) clearing() (restoration.Piece, string) {
	f.shopWindow.t.Helper()
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	f.tick(pieces[0], 5, f.ida, noon.AddDate(0, 0, -10))
	p := f.found(pieces[0].ID)
	require.Equal(f.shopWindow.t, "cleared", p.Sum.NextStage)
	return p, p.Sum.NextStep.String()
}

// material finds the clear that ships as an example.
func (f floor) material(name string) string {
	f.shopWindow.t.Helper()
	list, err := f.bench.store.Materials(f.shopWindow.t.Context())
	require.NoError(f.shopWindow.t, err)
	i := slices.IndexFunc(list, func(m restoration.Material) bool { return m.Name == name })
	require.GreaterOrEqual(f.shopWindow.t, i, 0)
	return formatID(list[i].ID)
}

func (f floor) coatForm(step string) url.Values {
	return url.Values{"kind": {string(restoration.KindCoat)}, coatStep: {step}, coatMaterial: {f.material("Example clear, two-part")}, coatML: {"60"},
		coatAir: {"21"}, coatSurface: {"20"}, coatHumidity: {"48"}}
}

func TestCoatFromTheOffice(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID)
	require.Contains(t, f.page(path).within("film").text(), "No coat, sanding or reading is logged yet.")
	for _, when := range []string{"2026-03-27T09:00", "2026-03-27T10:00"} {
		form := f.coatForm(step)
		form.Set("coat_when", when)
		require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", form).code)
	}
	page := f.page(path)
	log := page.within("film").text()
	require.Contains(t, log, "Coat 2 of clear Example clear, two-part")
	require.Contains(t, log, "Coat 1 of clear")
	require.Contains(t, log, "60 mL, no tin named 21 °C, surface 20 °C, 48 %")
	require.Contains(t, log, "Fri 27 Mar 2026, 10:00")
	require.NotEmpty(t, page.within("film").all("svg", "role", "img"))
}

// While the last coat hardens the office says the same as the bench, and invites nobody to
// cut.
func TestFilmSaysUntilWhenItHardens(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID)
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", f.coatForm(step)).code)
	film := f.page(path).within("film").text()
	require.Regexp(t, `The last coat still hardens: nothing may go before \S+ \d\d:\d\d, no polish before `, film)
	require.NotContains(t, film, "may go down to the floor")
}

// What looks mistyped is asked about at its field, and nothing that was typed is lost.
func TestCoatAsksBeforeItIsRefused(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID)
	for name, c := range map[string]struct {
		field, value, at, says string
	}{
		"a surface in °F":       {coatSurface, "72", coatSure, "The surface at 72 °C? Typed in °F it is 22.2 °C. Correct it, or confirm that it is so."},
		"humidity of 101 %":     {coatHumidity, "101", coatNumber, "101"},
		"humidity below nought": {coatHumidity, "-3", coatNumber, "-3"},
		"both decimal signs":    {coatWet, "1,234.5", coatWet, "Write one decimal sign, point or comma"},
		"no wet film":           {coatWet, "0", coatWet, "more than 0"},
		"an unknown material":   {coatMaterial, "999", coatMaterial, "Choose what was sprayed."},
		"an unknown step":       {coatStep, "x", coatStep, "Choose the stage on which it was done."},
		"an unknown tin":        {coatTin, "77", coatTin, "no longer on the list"},
		"half a coat":           {coatNumber, "1.5", coatNumber, "Write a whole number."},
	} {
		form := f.coatForm(step)
		form.Set(c.field, c.value)
		a := f.submit(path+"/film", form)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, name)
		page := parsePage(t, a.body)
		require.Contains(t, text(page.one("div", "role", "alert")), c.says, name)
		require.Equal(t, "60", attribute(page.one("input", "name", coatML), "value"), name)
	}
	history, err := f.bench.store.Film(t.Context(), p.ID)
	require.NoError(t, err)
	require.Empty(t, history)

	form := f.coatForm(step)
	form.Set(coatSurface, "72")
	form.Set(coatSure, "on")
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", form).code, "confirmed")
}

func TestReadingsMatchAndStrike(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, _ := f.clearing()
	path := piecePath(p.ID)
	read := url.Values{"kind": {string(restoration.KindReading)}, readSpot: {"centre"}, readFilms: {"208; 211 210,4"}, readBaseline: {"on"},
		readGloss: {"84"}, readAngle: {"20"}, readL: {"38,5"}, readA: {"17"}, readB: {"-2"}}
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", read).code)
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", read).code, "sent twice")
	film, err := f.bench.store.Film(t.Context(), p.ID)
	require.NoError(t, err)
	require.Len(t, film, 3, "a film, a gloss and a colour")
	log := f.page(path).within("film").text()
	for _, want := range []string{"Film before the clear at centre 208, 211, 210.4 µm", "84 GU at 20°", "L* 38.5, a* 17.0, b* -2.0"} {
		require.Contains(t, log, want)
	}

	for field, v := range map[string]string{readFilms: "312,5,7", readL: "", readGloss: "300"} {
		bad := url.Values{}
		for k, s := range read {
			bad[k] = s
		}
		bad.Set(field, v)
		bad.Del("id")
		a := f.submit(path+"/film", bad)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, field)
		require.NotEmpty(t, parsePage(t, a.body).all("p", "id", field+"-error"), field)
	}
	require.Equal(t, http.StatusUnprocessableEntity, f.submit(path+"/film", url.Values{"kind": {"reading"}}).code, "nothing measured")

	strike := path + "?strike=" + film[0].EventID.String()
	require.Len(t, f.page(strike).all("section", "id", "strike"), 1)
	form := url.Values{"kind": {string(restoration.KindStrike)}, strikeRef: {film[0].EventID.String()}}
	a := f.submit(path+"/film", form)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.text(), "Say what was wrong with the entry.")
	form.Set(strikeReason, "another piece")
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", form).code)
	film, err = f.bench.store.Film(t.Context(), p.ID)
	require.NoError(t, err)
	require.Len(t, film, 2)
}

// A colour of a ground that was sent back is marked as gone and judged no more, on the
// piece's page as on the car's.
func TestReadingsOfAGroundThatIsGone(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, _ := f.clearing()
	path := piecePath(p.ID)
	scheme := restoration.StockScheme(p.CarID, "")
	scheme.Ground = &colour.Lab{L: 60, A: 17, B: -2}
	_, err := f.bench.store.SaveScheme(t.Context(), f.by, scheme)
	require.NoError(t, err)
	read := url.Values{"kind": {string(restoration.KindReading)}, readL: {"38"}, readA: {"17"}, readB: {"-2"}, readReason: {"as measured"}}
	f.warns(path+"/film", read) // that it is far from it
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", read).code)
	require.Contains(t, f.page(path).within("film").text(), "from the scheme's ground")
	require.Contains(t, f.page("/office/cars/26-001/film").text(), "L* 38.0")

	require.Equal(t, path, f.submit(path+"/entries", url.Values{"kind": {"send back"}, "defect": {"colour-off"}, "stage": {"grounded"}}).to)
	film := f.page(path).within("film").text()
	require.NotContains(t, film, "from the scheme's ground")
	require.Contains(t, film, "sent back since: no longer counts")
	require.NotContains(t, f.page("/office/cars/26-001/film").text(), "L* 38.0")
}

// The page says what the tick will ask for before it is made.
func TestGateIsTaughtBefore(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	_, err := f.bench.store.SaveScheme(t.Context(), f.by, restoration.StockScheme(p.CarID, ""))
	require.NoError(t, err)
	require.Equal(t, http.StatusSeeOther, f.submit(piecePath(p.ID)+"/film", f.coatForm(step)).code)
	page := f.page(piecePath(p.ID)).text()
	require.Contains(t, page, "asks for 4 coats of clear, 1 logged so far. To tick it all the same, say why.")
	require.Contains(t, page, "1 of 4 coats of clear are logged.")
}

// A coat that was let through with a reason is in what needs a look until it is struck.
func TestOverridesOfTheFilmNeedALook(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	material := f.material("Example ground, two-part")
	form := f.coatForm(step)
	form.Set(coatMaterial, material)
	path := piecePath(p.ID)
	a := f.submit(path+"/film", form)
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "a ground where clear belongs asks for a reason")
	require.Contains(t, a.text(), "say why it is so")
	form.Set(coatReason, "tinted clear, from the ground's tin")
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", form).code)
	require.Contains(t, f.page("/office").within("look").text(), "tinted clear, from the ground's tin")
	film, err := f.bench.store.Film(t.Context(), p.ID)
	require.NoError(t, err)
	strike := url.Values{"kind": {string(restoration.KindStrike)}, strikeRef: {film[0].EventID.String()}, strikeReason: {"a slip"}}
	require.Equal(t, http.StatusSeeOther, f.submit(path+"/film", strike).code)
	require.NotContains(t, f.page("/office").within("look").text(), "tinted clear")
}

// A piece that was cut three weeks ago is to be looked at, until its gloss is read.
func TestDieBackIsLookedFor(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		days int
		want bool
	}{"a week": {7, false}, "two weeks": {14, true}, "three weeks": {21, true}, "four weeks and a day": {29, false}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := openFloor(t)
			_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
			f.tick(pieces[0], 7, f.ida, noon.AddDate(0, 0, -c.days).Add(-hour))
			const says = "look for die-back"
			if !c.want {
				require.NotContains(t, f.page("/office").text(), says)
				return
			}
			require.Contains(t, f.page("/office").within("look").text(), says)
			read := url.Values{"kind": {string(restoration.KindReading)}, readGloss: {"84"}, readAngle: {"20"}}
			require.Equal(t, http.StatusSeeOther, f.submit(piecePath(pieces[0].ID)+"/film", read).code)
			require.NotContains(t, f.page("/office").text(), says)
		})
	}
}

func TestCarFilmFindsTheOddPiece(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 4)
	for i, p := range pieces {
		require.NoError(t, f.bench.store.EditPiece(t.Context(), f.by, p.ID, inSet(p.Details, "dash"), p.RouteID))
		l := "38.0"
		if i == 2 {
			l = "41.5"
		}
		read := url.Values{"kind": {string(restoration.KindReading)}, readL: {l}, readA: {"17"}, readB: {"24"}}
		if i >= 2 { // the fourth is off the third
			require.Contains(t, f.warns(piecePath(p.ID)+"/film", read).text(), "of the same set, 1.0 is allowed.")
		}
		require.Equal(t, http.StatusSeeOther, f.submit(piecePath(p.ID)+"/film", read).code)
	}
	page := f.page(carFilmPath(car.WorkOrder)).text()
	require.Contains(t, page, pieces[2].Title()+" stands out: without it the rest differ by ΔE 0.0 at most.")
	require.Contains(t, f.page(piecePath(pieces[0].ID)).within("film").text(), pieces[2].Title()+" stands out")
}

// Pieces of one name are told apart by where they belong and by their code.
func TestCarFilmTellsEqualNamesApart(t *testing.T) {
	t.Parallel()
	rail := func(n int, name, l string) restoration.Piece {
		return restoration.Piece{ID: newID(), Label: "RAIL" + l, Details: restoration.Details{Name: name, Zone: restoration.ZoneLoose, Place: strconv.Itoa(n), Set: "load bay"}}
	}
	d := carFilmData{Car: restoration.Car{WorkOrder: "26-001"}, Deeds: map[restoration.ID][]restoration.Deed{}, Settings: restoration.StockSettings(),
		Pieces: []restoration.Piece{rail(1, "Load floor rail", "A"), rail(2, "Load floor rail", "B"), rail(3, "Tool tray lid", "C")}}
	for i, p := range d.Pieces {
		d.Deeds[p.ID] = []restoration.Deed{{Kind: restoration.KindReading, Pass: 1, PieceID: p.ID,
			Reading: &restoration.Reading{Kind: restoration.ReadColour, Lab: &colour.Lab{L: 50 + float64(i%2), A: 14}}}}
	}
	page := newCarFilmPage(d, ui.PageProps{})
	var which []string
	for _, l := range page.Lines {
		which = append(which, l.Which)
	}
	require.Equal(t, []string{"loose · place 1 · RAILA", "loose · place 2 · RAILB", ""}, which)
	require.Contains(t, page.Sets[0].Text, "Set load bay: Load floor rail RAILA and Load floor rail RAILB differ most")
}

func inSet(d restoration.Details, set string) restoration.Details {
	d.Set = set
	return d
}

func TestFilmSettings(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	values := filmSettingValues(restoration.StockFilm(), unitsOf(restoration.Metric))
	for field, v := range map[string]string{"edge_factor": "0", "warn_um": "1.000,5", "transfer": "30", "gloss_gu": "", "grit_ratio": "x"} {
		bad := url.Values{}
		for k, s := range values {
			bad[k] = s
		}
		bad.Set(field, v)
		a := f.post(filmSettingsPath, bad)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, field)
		require.NotEmpty(t, parsePage(t, a.body).all("p", "id", field+"-error"), field)
	}
	values.Set("session_um", "64")
	require.Equal(t, http.StatusSeeOther, f.post(filmSettingsPath, values).code)
	saved, err := f.bench.store.Settings(t.Context())
	require.NoError(t, err)
	require.InDelta(t, 64, saved.Film.SessionUM, 0)

	// The shop's own page leaves the film's figures alone, and figures that stand as they
	// were shown in another unit are not rounded away.
	shop := settingsValues(saved)
	shop.Set("units", string(restoration.US))
	require.Equal(t, http.StatusSeeOther, f.post("/office/settings", shop).code)
	require.Equal(t, http.StatusSeeOther, f.post(filmSettingsPath, filmSettingValues(saved.Film, unitsOf(restoration.US))).code)
	again, err := f.bench.store.Settings(t.Context())
	require.NoError(t, err)
	require.Equal(t, saved.Film, again.Film)
	said := f.page(filmSettingsPath).text()
	for _, word := range []string{"mil", "fl oz", "Waits per 18 °F"} {
		require.Contains(t, said, word)
	}
	for _, word := range []string{"µm", "mL", "°C"} {
		require.NotContains(t, said, word)
	}
	deep := filmSettingValues(saved.Film, unitsOf(restoration.US))
	deep.Set("session_um", "40")
	refused := parsePage(t, f.post(filmSettingsPath, deep).body)
	require.Contains(t, text(refused.one("p", "id", "session_um-error")), "from 0.2 mil to 39.3 mil")
}

func TestReferenceAgrees(t *testing.T) {
	t.Parallel()
	p := newReferencePage(restoration.References())
	require.Equal(t, p.All, p.Agree)
	require.GreaterOrEqual(t, p.All, 20)
	wrong := newReferencePage([]restoration.Reference{{Subject: "Film", Name: "Dry film", Expect: "31.2 µm", Now: func() string { return "31.3 µm" }}})
	require.Zero(t, wrong.Agree)
	require.False(t, wrong.Subjects[0].Lines[0].Holds)
	f := openFloor(t)
	require.Contains(t, f.page(referencePath).text(), "checks agree")
}

// Where several tins went into a mix each says what it was there; one alone needs no word.
func TestTinsOfAMixSayTheirPart(t *testing.T) {
	t.Parallel()
	clear := restoration.Material{ID: 3, Material: coating.Material{Parts: []coating.PartSheet{{Name: "clear"}, {Name: "hardener"}}}}
	g := filmLog{units: restoration.Metric, materials: []restoration.Material{clear, {ID: 4, Material: coating.Material{Parts: []coating.PartSheet{{Name: "lacquer"}}}}},
		lots: lotsByID([]restoration.Lot{{ID: 1, Material: 3, Number: "C-1"}, {ID: 2, Material: 3, Part: 1, Number: "H-7"}, {ID: 5, Material: 4, Number: "L-2"},
			{ID: 6, Material: 3, Part: 9, Number: "X-1"}})}
	of := func(uses ...restoration.LotUse) []string { return g.tins(restoration.Deed{Lots: uses}) }
	require.Equal(t, []string{"clear C-1, 40\u00a0mL", "hardener H-7, 20\u00a0mL"}, of(restoration.LotUse{Lot: 2, ML: 20}, restoration.LotUse{Lot: 1, ML: 40}), "in the order of the mix")
	require.Equal(t, []string{"C-1, 40\u00a0mL"}, of(restoration.LotUse{Lot: 1, ML: 40}))
	require.Equal(t, []string{"L-2", "a tin of no list", "X-1"}, of(restoration.LotUse{Lot: 5}, restoration.LotUse{Lot: 99}, restoration.LotUse{Lot: 6}), "nothing is made up")
}
