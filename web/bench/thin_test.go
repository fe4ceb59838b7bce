package bench

import (
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// underFloor cuts a piece's clear until it may be under its floor.
func (s *testShop) underFloor(name string) {
	s.t.Helper()
	p := s.piece(name)
	for !s.filmOf(name).BelowFloor {
		s.log(restoration.Event{Kind: restoration.KindCutPass, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: s.ada.ID, DeviceID: s.device.ID,
			At: s.clock(), Payload: restoration.Payload{Cut: &restoration.CutPass{Grade: "P1000"}}})
	}
}

// gauge reads a piece's whole film in its middle.
func (s *testShop) gauge(name string, um float64, baseline bool) {
	s.t.Helper()
	s.log(restoration.Event{Kind: restoration.KindReading, PieceID: s.pieces[name].ID, PersonID: s.ada.ID, DeviceID: s.device.ID, At: s.clock(),
		Payload: restoration.Payload{Reading: &restoration.Reading{Kind: restoration.ReadFilm, Spot: "Middle", Baseline: baseline, FilmUM: []float64{um, um, um}}}})
}

func TestWalkAThinClearGoesBackBeforeItIsDone(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	paint := s.paint()
	s.gauge("Ash tray", 200, true)
	s.cutReady("Ash tray", paint[coating.Clear])
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)

	b.Go(path)
	require.Equal(t, "Log pass", b.Eval(`document.querySelector(".actionbar .button-main").textContent.trim()`), "the film is fine: all is as it is")
	require.Equal(t, "0", b.Eval(`String(document.querySelectorAll("[name=fails]:checked").length)`))

	s.underFloor("Ash tray")
	b.Go(path)
	b.tells(".actionbar", "under the floor")
	require.Equal(t, path+"/measure", b.Eval(`document.querySelector(".actionbar .button-main").getAttribute("href")`), "a pass is reckoned, and a gauge knows")
	s.gauge("Ash tray", 230, false)
	b.Go(path)
	require.Equal(t, "Send back", b.Eval(`document.querySelector(".actionbar .button-main").textContent.trim()`))
	require.Equal(t, path+"/back?defect="+thinDefect, b.Eval(`document.querySelector(".actionbar .button-main").getAttribute("href")`))
	b.Shot("thin-820")
	b.tap(`.thinpair a[href="#done"]`)
	require.Equal(t, checkFloor, b.Eval(`document.querySelector("[name=fails]:checked").value`))
	b.tells(".holds", "may be under the floor")
	shown := func(sel string) string {
		return b.Eval(`String(document.querySelector(` + strconv.Quote(sel) + `).checkVisibility())`)
	}
	require.Equal(t, "false", shown(".save"), "Save is not there")
	require.Equal(t, "false", shown("#tick [name=reason]"), "nor a reason, which would save nothing")
	require.Equal(t, "true", shown("#tick .why-asked .refusal"), "what the film says is")
	b.tells(".recheck", "Touch the check, then say why.")
	b.Shot("thin-done-820")
	b.tap(`.hold [value=` + checkFloor + `]`)
	require.Equal(t, "true", shown(".save"))
	require.Equal(t, "true", shown("#tick [name=reason]"))
	require.Equal(t, "false", shown(".recheck"))
	b.tap(`.hold [value=` + checkFloor + `]`)
	b.tapTo(`.instead .button-main`, path+"/back")
	require.Equal(t, thinDefect, b.Eval(`new URLSearchParams(location.search).get("defect")`))
	require.Empty(t, b.Complaints())
}

func TestAThinClearIsDoneWithAReasonOnly(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	s.cutReady("Ash tray", paint[coating.Clear])
	s.read(s.ada, "")
	s.underFloor("Ash tray")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	tiles := regexp.MustCompile(`/back\?defect=([a-z-]+)`).FindAllStringSubmatch(b.get(path+"/back").body, 2)
	require.Equal(t, []string{thinDefect, "cut-through"}, []string{tiles[0][1], tiles[1][1]}, "what the film says comes first")
	form := filmForm(t, b.get(path).body, path+"/tick", nil)
	require.Equal(t, []string{checkFloor}, form["fails"])
	require.Equal(t, http.StatusUnprocessableEntity, b.post(path+"/tick", form).status, "one touch does not state it")
	form = filmForm(t, b.get(path).body, path+"/tick", nil)
	form.Del("fails")
	got := b.post(path+"/tick", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "say why it is so")
	form = filmForm(t, got.body, path+"/tick", url.Values{"reason": {"Owner said so"}})
	require.Empty(t, form["fails"], "what was touched is kept")
	require.Equal(t, "/bench", b.post(path+"/tick", form).path)
}

func TestOwnFitTestIsSaidBeforeIsocyanate(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.paint()
	s.advance("Ash tray", s.ada, 5)
	s.advance("Instrument panel", s.ada, 4)
	s.read(s.ada, "")
	s.read(s.ben, "")
	today := s.clock().Truncate(24 * time.Hour)
	for _, c := range []restoration.Certificate{
		{PersonID: s.ada.ID, Kind: "Respirator fit test", DoneOn: today.AddDate(-2, 0, 0), ValidUntil: today.AddDate(0, 0, -1)},
		{PersonID: s.ada.ID, Kind: "Isocyanate training", DoneOn: today.AddDate(-2, 0, 0), ValidUntil: today.AddDate(0, 0, 20)},
	} {
		_, err := s.store.AddCertificate(t.Context(), s.owner, c)
		require.NoError(t, err)
	}
	const ranOut, runsOut = "Your respirator fit test ran out 24 Mar 2026: talk to the owner before you spray.", "Your isocyanate training runs out 14 Apr 2026."
	s.pass(48 * time.Hour)
	path := piecePath(s.pieces["Ash tray"].ID)
	ada := s.signIn(s.ada)
	for _, page := range []string{path, path + "/coat", s.batchOf(restoration.LookCleared)} {
		body := ada.get(page).body
		require.Contains(t, body, ranOut, page)
		require.Contains(t, body, runsOut, page)
	}
	require.NotContains(t, s.signIn(s.ben).get(path).body, "ran out", "said to the person it is about")
	require.NotContains(t, s.signIn(s.ben).get(s.batchOf(restoration.LookCleared)).body, "ran out")
	ada = s.signIn(s.ada)
	require.NotContains(t, ada.get(piecePath(s.pieces["Instrument panel"].ID)).body, "ran out", "the grain is no isocyanate")
}

func TestAnotherMaterialShowsItsOwnCautions(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	var lacquer restoration.Material
	for _, m := range coating.Examples() {
		if m.Kind == coating.ClearLacquer {
			m.Example, m.Name, m.Revision = false, "Our lacquer", "2026-01"
			saved, err := s.store.SaveMaterial(t.Context(), s.owner, restoration.Material{Material: m})
			require.NoError(t, err)
			lacquer = saved
		}
	}
	s.advance("Ash tray", s.ada, 5)
	s.pass(48 * time.Hour)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	const shown = "Before you begin: Cleared"
	b.post("/bench/cautions", formOf(t, b.get(path).body, "/bench/cautions", nil))
	require.NotContains(t, b.get(path+"/coat").body, shown)
	other := path + "/coat?material=" + trimmed(float64(lacquer.ID), 0)
	page := b.get(other).body
	require.Contains(t, page, shown, "what was read for "+paint[coating.Clear].Name+" says nothing of a lacquer")
	got := b.post("/bench/cautions", formOf(t, page, "/bench/cautions", nil))
	require.Equal(t, path+"/coat", got.path)
	require.Contains(t, got.body, "Our lacquer", "one goes on with the material that was chosen")
	require.NotContains(t, got.body, shown)
}

func TestAShutWindowAsksWhetherItIsScuffed(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.spray("Ash tray", paint[coating.Clear], 1, 0)
	s.pass(40 * 24 * time.Hour)
	s.read(s.ada, "")
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	page := b.get(path + "/coat").body
	require.Contains(t, page, "Scuffed all over")
	require.Regexp(t, `data-wants="reason" hidden`, page, "scuffed, it needs no reason")
	form := filmForm(t, page, path+"/coat", nil)
	got := b.post(path+"/coat", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Equal(t, 1, strings.Count(got.body, "The recoat window of the coat before shut"), "said once")
	require.Contains(t, got.body, `<p class="error" id="own-error">Put it right, or say why it is so.`)
	form = filmForm(t, got.body, path+"/coat", url.Values{"checks": {restoration.CheckScuffed}, "coat.thinned": {"10"}})
	require.Equal(t, path, b.post(path+"/coat", form).path)
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID, Limit: 1})
	require.NoError(t, err)
	require.InDelta(t, .1, entries[0].Event.Coat.Thinned, 1e-9, "10 % more thinner")
	require.Contains(t, entries[0].Event.Checks, restoration.CheckScuffed)
}

// A wait says what it goes by: the sheet of the coat that hardens, and not that of a coat
// further down where a blocked piece only dries.
func TestAWaitGoesByWhatIsWaitedFor(t *testing.T) {
	t.Parallel()
	s := setup(t)
	primer := s.paint()[coating.Primer]
	s.read(s.ada, "")
	s.advance("Ash tray", s.ada, 1)
	s.spray("Ash tray", primer, 1, 0)
	s.advance("Ash tray", s.ada, 1)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	body := b.get(path).body
	require.Contains(t, body, "Not before ")
	require.Contains(t, body, "By the sheet of "+primer.Name)
	s.pass(7 * 24 * time.Hour)
	s.advance("Ash tray", s.ada, 1)
	body = b.get(path).body
	require.Contains(t, body, "Not before ")
	require.Contains(t, body, "By standard times at ")
	require.NotContains(t, body, "By the sheet of ")
}

// Below the clear nothing is reckoned that may go, and the page of passes says so, with
// what the paper meets.
func TestSandingBelowTheClearSaysWhatThePaperMeets(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.paint()
	s.read(s.ada, "")
	s.advance("Ash tray", s.ada, 3)
	s.pass(48 * time.Hour)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID) + "/cut"
	require.Contains(t, b.get(path).body, "No coat is logged on this piece")
	s.spray("Ash tray", paint[coating.Ground], 1, 0)
	body := b.get(path).body
	require.Regexp(t, `By what is logged the paper meets ground \d+ µm, then the base metal. How much may go is reckoned for clear alone.`, body)
	require.Contains(t, body, `value="P800"`)
	for range 2 {
		s.pass(48 * time.Hour)
		s.advance("Ash tray", s.ada, 1)
	}
	s.pass(48 * time.Hour)
	s.read(s.ada, "")
	require.Contains(t, b.get(path).body, "the paper meets ground", "no clear is on yet")
	s.spray("Ash tray", paint[coating.Clear], 1, 0)
	require.NotContains(t, b.get(path).body, "the paper meets")
}

func TestTheGaugeReadsAllFilmAndSaysWhatItReadBefore(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.enter(restoration.Event{Kind: restoration.KindReading, PieceID: s.pieces["Ash tray"].ID, PersonID: s.ada.ID, DeviceID: s.device.ID,
		Payload: restoration.Payload{Reading: &restoration.Reading{Kind: restoration.ReadFilm, Spot: "Middle", Baseline: true, FilmUM: []float64{208, 211, 211}}}})
	s.spray("Ash tray", paint[coating.Clear], 1, 0)
	page := s.signIn(s.ada).get(piecePath(s.pieces["Ash tray"].ID) + "/measure").body
	require.Contains(t, page, "Total film over steel")
	require.Contains(t, page, "At least 3 readings on the spot")
	require.Regexp(t, `Before the clear, Middle</dt><dd>210 µm`, page) // (208 + 211 + 211) ÷ 3
}
