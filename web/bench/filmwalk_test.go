package bench

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

func TestWalkACoatIsThreeTouches(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.touches = 0
	b.tapTo(`a.tile[href="`+path+`"]`, path)
	b.tapTo(`.actionbar a[href$="/coat"]`, path+"/coat")
	b.Shot("coat-820")
	b.press(".actionbar .button-main")
	b.At(path)
	require.Equal(t, 3, b.touches, "tile, coat, save")
	d := s.lastDeed("Ash tray")
	require.Equal(t, paint[coating.Clear].ID, d.Material)
	require.Len(t, d.Lots, len(paint[coating.Clear].Parts))
	b.tells(".facts", "1 of 4 sprayed")
	b.tells(".notice", "coat 1 on cleared")

	s.pass(20 * time.Minute) // else the tablet's own seconds, not the shop's hour, order the two
	b.tapTo(`.actionbar a[href$="/coat"]`, path+"/coat")
	b.tap(`[name="coat.wet_um"] ~ .step-up`)
	b.tap(`[name="coat.wet_um"] ~ .step-up`)
	require.Equal(t, trimmed(paint[coating.Clear].WetUM.Likely+5, 1), b.Eval(`document.getElementsByName("coat.wet_um")[0].value`), "the sheet's, and 5 µm more")
	b.tap(`[name="coat.air.surface_c"] ~ .step-up`)
	require.Equal(t, "20", b.Eval(`document.getElementsByName("coat.air.surface_c")[0].value`))
	b.press(".actionbar .button-main")
	b.At(path)
	b.tells(".notice", "coat 2 on cleared")
	require.Equal(t, 2, s.lastDeed("Ash tray").Number)
	require.Empty(t, b.Complaints())
}

func TestWalkAPassSaysAtOnceWhatIsLeft(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	paint := s.paint()
	s.cutReady("Ash tray", paint[coating.Clear])
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.touches = 0
	b.tapTo(`a.tile[href="`+path+`"]`, path)
	b.Shot("before-cut-820")
	b.tapTo(`.actionbar a[href$="/cut"]`, path+"/cut")
	before := s.filmOf("Ash tray").Clear.Likely
	b.press(`[value="P1500"]`)
	b.tells(".film-now", restoration.FilmWords(before-4.5, restoration.Metric))
	require.Equal(t, 3, b.touches, "tile, log pass, grade")
	b.tells(".sofar", "P1500")
	b.Shot("passes-820")
	b.Resize(browsertest.Device{W: 360, H: 780, Touch: true})
	require.Equal(t, "0", b.TooWide(), "with a word on the coarser grades")
	b.Shot("passes-360")
}

func TestWalkAPassUnderTheFloorIsHeld(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	paint := s.paint()
	s.cutReady("Ash tray", paint[coating.Clear])
	s.read(s.ada, "")
	p := s.piece("Ash tray")
	for s.filmOf("Ash tray").MayGoUM > 15 {
		s.log(restoration.Event{Kind: restoration.KindCutPass, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: s.ada.ID, DeviceID: s.device.ID,
			At: s.clock(), Payload: restoration.Payload{Cut: &restoration.CutPass{Grade: "P1000"}}})
	}
	s.pass(time.Minute)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID) + "/cut"
	b.Go(path)
	b.tells(`[value="P800"]`, "could go under the floor")
	b.Shot("near-floor-820")
	passes := func() int {
		deeds, err := s.store.Film(t.Context(), p.ID)
		require.NoError(t, err)
		return len(deeds)
	}
	n := passes()
	b.Tap(`[value="P800"]`)
	b.says("[data-say]", "Hold for a second.")
	require.Equal(t, n, passes(), "a touch does not go under the floor")
	lift := b.Hold(`[value="P800"]`)
	require.Eventually(t, func() bool { return passes() == n+1 }, browsertest.Patience, 50*time.Millisecond)
	lift()
	b.tells(".notice", "under the floor")
}

func TestWalkTogetherIsFourTouches(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.paint()
	names := s.three()
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := s.batchOf(restoration.LookCleared)
	b.touches = 0
	b.tapTo(`.benchnav a[href="/bench/together"]`, togetherPath)
	b.Shot("together-820")
	b.tapTo(`a.tile[href="`+path+`"]`, path)
	b.Shot("batch-820")
	b.tap(`.ticks label:last-of-type`)
	b.press(".actionbar .button-main")
	b.At(togetherPath)
	b.tells(".notice", "Coat saved on 2 pieces.")
	require.Equal(t, 4, b.touches, "together, group, one taken out, save")
	coated := 0
	for _, n := range names {
		deeds, err := s.store.Film(t.Context(), s.pieces[n].ID)
		require.NoError(t, err)
		coated += len(deeds)
	}
	require.Equal(t, 2, coated)
}

func TestWalkABatchThatIsPartlyRefusedStays(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := s.batchOf(restoration.LookCleared)
	b.Go(path)
	b.tap(`[name="coat.air.surface_c"] ~ .step-up`)
	ash := s.piece("Ash tray")
	s.enter(restoration.Event{Kind: restoration.KindSkip, PieceID: ash.ID, StepID: ash.Sum.NextStep, PersonID: s.ben.ID, DeviceID: s.device.ID,
		Payload: restoration.Payload{Reason: "Not needed on this piece"}})
	b.press(".actionbar .button-main")
	b.tells("[data-refusal]", "The others are saved. Ash tray: The step was skipped")
	require.Equal(t, "1", b.Eval(`String(document.querySelectorAll("[name=pieces]:checked").length)`), "only what was refused stays ticked")
	require.Equal(t, "20", b.Eval(`document.getElementsByName("coat.air.surface_c")[0].value`), "nothing typed is lost")
	b.says("[data-saved]", "all sent")
	b.Go("/bench/nottaken")
	b.tells("[data-says]", "Ash tray: Coat")
	b.tells("[data-about]", s.car.WorkOrder+" · ")
}

// Touching a piece in or out changes what is mixed and what will be asked, at once; what
// a refusal says stands once, and a touch on the tick answers it.
func TestWalkTickingAPieceWorksTheBatchOut(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	clear := s.paint()[coating.Clear]
	names := s.three()
	for _, n := range names[:2] {
		s.spray(n, clear, 1, 0)
	}
	s.pass(8 * 24 * time.Hour)
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := s.batchOf(restoration.LookCleared)
	const window = "The recoat window of the coat before shut"
	said := func(want string) {
		t.Helper()
		b.Sees(want, `String(document.querySelector("main").innerText.split("`+window+`").length - 1)`)
	}
	piece := func(name string) string { return `label[for="p-` + s.piece(name).Sum.NextStep.String() + `"]` }
	b.Go(path)
	b.tells("#batch-mix", "1 of 3")
	one := b.Text("#batch-mix .pour")
	said("0")

	b.tap(piece(names[0]))
	b.tells("#batch-mix", "2 of 3")
	b.tells("#asked", window)
	said("1")
	require.NotEqual(t, one, b.Text("#batch-mix .pour"), "more is mixed")
	b.tap(piece(names[0]))
	b.tells("#batch-mix", "1 of 3")
	said("0")
	require.Equal(t, one, b.Text("#batch-mix .pour"))

	b.tap(piece(names[0]))
	b.tells("#asked", "Scuffed all over")
	b.Shot("together-asked-820")
	b.press(".actionbar .button-main")
	b.tells("[data-refusal]", "Nothing is saved yet. Put it right, or say why it is so.")
	said("1")
	require.Equal(t, 1, s.lastDeed(names[0]).Number, "nothing is entered, and nothing refused")
	b.tap(`label[for="scuffed"]`)
	b.press(".actionbar .button-main")
	b.At(togetherPath)
	b.tells(".notice", "coat 2 on cleared")
	require.Equal(t, 2, s.lastDeed(names[0]).Number)
	require.Positive(t, s.lastDeed(names[0]).ML, "its share of the mix")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{CarID: s.car.ID, Limit: 50})
	require.NoError(t, err)
	for _, e := range entries {
		require.NotEqual(t, restoration.Refused, e.Outcome.Result)
	}
	require.Equal(t, 1, s.lastDeed(names[1]).Number, "what was not touched in is left alone")
	require.Empty(t, b.Complaints())
}

// airs types the air of a warm shop, whose dew point is 17.6 °C, and leaves each field.
func (b *tab) airs(surface string) {
	for name, value := range map[string]string{"air_c": "26", "humidity": "60", "surface_c": surface} {
		b.types("coat.air."+name, value)
	}
}

// types fills a field in and leaves it.
func (b *tab) types(name, value string) {
	b.Run(`{ const f = document.getElementsByName("` + name + `")[0]; f.value = "` + value + `"; f.dispatchEvent(new Event("change", { bubbles: true })); }`)
}

// What was typed of the air and ticked of the tins is judged as soon as a field is left,
// before the paint is on, and nothing is saved by it. What is saved nevertheless stands
// among what the owner looks at.
func TestWalkTheAirIsJudgedBeforeSave(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.paint()
	s.three()
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	one := piecePath(s.pieces["Ash tray"].ID)
	const wet = "Surface at dew point: wet"
	for _, at := range [][2]string{{one + "/coat", one}, {s.batchOf(restoration.LookCleared), togetherPath}} {
		before := s.coats()
		b.Go(at[0])
		b.airs("17")
		b.tells("#asked", wet)
		b.says("#cautions", "Read 1 caution")
		b.tap(".tins label:first-of-type")
		b.tells("#asked", wet)
		b.Run(`for (const t of document.querySelectorAll(".tins input:checked")) t.click()`)
		b.tells("#asked", "No tin is named")
		b.tap(".tins label:first-of-type")
		b.tells("#asked", "No tin of hardener is named")
		b.tap(".tins label:last-of-type")
		b.Await(`!document.querySelector("#asked").textContent.includes("is named")`)
		b.airs("20")
		b.tells("#asked", "Surface only 2.4 °C above dew")
		b.Await(`document.querySelector("#asked [data-wants=reason]").hidden`)
		b.tap(`[name="coat.air.surface_c"] ~ .step-up`)
		b.Await(`document.querySelector("#cautions").textContent === ""`)
		for range 4 {
			b.tap(`.step-down:has(~ [name="coat.air.surface_c"])`)
		}
		b.tells("#asked", wet)
		require.Equal(t, before, s.coats(), "judging saves nothing")
		b.tap(`label[for="why-0"]`)
		b.press(".actionbar .button-main")
		b.At(at[1])
		b.tells(".notice", "Saved, with a caution:")
		s.pass(20 * time.Minute) // flashed off
	}
	require.Equal(t, 1+3, s.coats())
	let, err := s.store.FilmOverrides(t.Context(), s.clock().Add(-time.Hour))
	require.NoError(t, err)
	require.Len(t, let, 1+3)
	for _, e := range let {
		require.Contains(t, e.Event.Facts.Needs, wet+".")
	}
	require.Empty(t, b.Complaints())
}

// A wet film that the comb reads beyond the sheet is said as soon as the field is left, and
// once for a whole group; it blocks nothing, and the ledger keeps it.
func TestWalkTheWetFilmIsJudgedBeforeSave(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	sheet := s.paint()[coating.Clear].WetUM
	s.three()
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	one := piecePath(s.pieces["Ash tray"].ID)
	span := restoration.FilmSpan(sheet, restoration.Metric)
	thick, thin := "75 µm wet is thicker than the sheet: "+span, "40 µm wet is thinner than the sheet: "+span
	for _, at := range [][2]string{{one + "/coat", one}, {s.batchOf(restoration.LookCleared), togetherPath}} {
		before := s.coats()
		b.Go(at[0])
		b.types("coat.wet_um", "75")
		b.tells("#asked", thick)
		b.says("#cautions", "Read 1 caution")
		b.types("coat.wet_um", "60")
		b.Await(`document.querySelector("#asked").textContent.trim() !== "" && !document.querySelector("#asked").textContent.includes("sheet")`)
		b.says("#cautions", "")
		b.types("coat.wet_um", "40")
		b.tells("#asked", thin)
		require.Equal(t, before, s.coats(), "judging saves nothing")
		b.press(".actionbar .button-main")
		b.At(at[1])
		b.tells(".notice", "Saved, with a caution:")
		s.pass(20 * time.Minute) // flashed off
	}
	require.Equal(t, 1+3, s.coats())
	for _, name := range []string{"Ash tray", "Glove-box door"} {
		entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces[name].ID, Limit: 1})
		require.NoError(t, err)
		require.Contains(t, entries[0].Event.Facts.Warnings, thin+".", name)
		require.Empty(t, entries[0].Event.Facts.Needs, name)
	}
	require.Empty(t, b.Complaints())
}

func TestWalkAnAskedFigureIsConfirmed(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path + "/coat")
	b.Run(`document.getElementsByName("coat.air.surface_c")[0].value = "72"`)
	b.press(".actionbar .button-main")
	b.tells("[data-refusal]", "Typed in °F it is 22.2 °C")
	b.tap(`label[for="sure"]`)
	b.press(".actionbar .button-main")
	b.At(path)
	require.Equal(t, 1, s.lastDeed("Ash tray").Number)
}

// A figure that can't be is said once, at its field, and no longer than it stands there. What
// is changed from the page Not taken is judged as it is filled in.
func TestWalkAFigureThatCannotBeIsSaidAtItsField(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	clear := s.clearNext("Ash tray")[coating.Clear]
	s.tin(clear, 0, "4712")
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID) + "/coat"
	const field, cannotBe = `#coat\\.air\\.humidity-error`, "Humidity can't be 101 %"
	said := `String(document.querySelector("main").innerText.split("` + cannotBe + `").length - 1)`
	b.Go(path)
	b.tells("#asked", "No tin of clear is named")
	b.tap(".tins label:first-of-type")
	b.types("coat.wet_um", "140")
	b.Run(`document.getElementsByName("coat.air.humidity")[0].value = "101"`)
	b.press(".actionbar .button-main")
	b.tells(field, cannotBe)
	b.Await(`document.querySelector("[data-refusal]").hidden`)
	b.says("[data-not-taken]", "1 not taken")
	b.Await(said + ` === "1"`)
	require.Empty(t, b.Barriers())
	b.Shot("humidity-820")
	b.types("coat.air.humidity", "55")
	b.Await(said + ` === "0"`)

	b.Go("/bench/nottaken")
	b.tapTo(`[data-held-do="change"]`, path)
	b.tells(field, cannotBe)
	b.tells("#asked", "thicker than the sheet")
	require.NotContains(t, b.Eval(`document.querySelector("#asked").textContent`), "No tin", "the tin is ticked again")
	b.types("coat.air.humidity", "55")
	b.Await(said + ` === "0"`)
	require.Zero(t, s.coats())
	require.Empty(t, b.Complaints())
}

func TestWalkMeasure(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.touches = 0
	b.tapTo(`.acts a[href$="/measure"]`, path+"/measure")
	for i, v := range []string{"101", "103", "102,6"} {
		b.Do(chromedp.SendKeys(chromedp.CSS("#figure-"+trimmed(float64(i), 0)), v))
	}
	b.tells(".mean", "102.2") // (101 + 103 + 102.6) ÷ 3
	b.Shot("measure-820")
	b.tapTo(".actionbar .button-main", path)
	require.Equal(t, 2, b.touches, "measure, save; the figures are typed")
	require.Equal(t, []float64{101, 103, 102.6}, s.lastDeed("Ash tray").Reading.FilmUM)
}

// What the gauge says is held against the log as soon as the third figure is typed.
func TestWalkAReadingIsJudgedBeforeSave(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	measure := func(figures ...string) {
		b.Go(path + "/measure")
		for i, v := range figures {
			b.Run(`{ const f = document.getElementById("figure-` + trimmed(float64(i), 0) + `"); f.value = "` + v + `"; f.dispatchEvent(new Event("change", { bubbles: true })); }`)
		}
	}
	measure("101", "103", "102")
	b.tapTo(".actionbar .button-main", path)
	s.pass(time.Hour)
	s.spray("Ash tray", paint[coating.Clear], 1, time.Minute)
	measure("300", "301", "302")
	b.tells("#asked", "The gauge says 199 µm of clear, the log of coats gives")
	b.says("#cautions", "Read 1 caution")
	b.Shot("measure-judged-820")
	measure("131", "132", "133")
	b.Await(`document.querySelector("#asked .notice") === null`)
	b.says("#cautions", "")
	measure("90", "91", "92")
	b.tells("#asked", "A gauge reads all film over the steel")
	b.tap(`label[for="sure"]`)
	b.press(".actionbar .button-main")
	b.At(path)
	require.Equal(t, []float64{90, 91, 92}, s.lastDeed("Ash tray").Reading.FilmUM)
	require.Empty(t, b.Complaints())
}

func TestWalkACoatIsKeptWhileTheNetworkIsAway(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	b.signIn(s.ada.Name)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "/coat")
	b.Offline(true)
	b.press(".actionbar .button-main")
	b.says("[data-saved]", "1 waiting to be sent")
	b.Offline(false)
	b.says("[data-saved]", "all saved")
	require.Equal(t, 1, s.lastDeed("Ash tray").Number)
}

// Without network a coat is judged by nobody before Save: the form says so, the sheet's range
// stands beside the wet film all the same, and the judgement comes when the line is back.
func TestWalkACoatSaysThatItIsNotCheckedWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.clearNext("Ash tray")
	s.read(s.ada, "")
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	coat := piecePath(s.pieces["Ash tray"].ID) + "/coat"
	const unchecked = "No network: not checked before Save."
	b.Go(coat)
	b.airs("20")
	b.tells("#asked", "Surface only 2.4 °C above dew")
	require.NotContains(t, b.Eval(`document.querySelector("#cautions").textContent`), unchecked)
	n.away.Store(true)
	b.airs("17")
	b.tells("#cautions", unchecked)
	b.types("coat.air.humidity", "61")
	require.Equal(t, "1", b.Eval(`String(document.querySelectorAll(".unchecked").length)`))
	n.away.Store(false)
	b.online()
	b.tells("#asked", "Surface at dew point: wet")
	b.Await(`!document.querySelector(".unchecked")`)

	n.away.Store(true)
	b.Go(coat)
	b.tells(".asof", "No network")
	b.says("#cautions", unchecked)
	b.Await(`/^Empty: as the sheet says, \d+–\d+ µm$/.test(document.getElementById("coat.wet_um-hint").textContent)`)
	b.Shot("coat-unchecked-820")
	require.Empty(t, b.Barriers())
}
