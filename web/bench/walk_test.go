package bench

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/restoration"
)

// walk is a shop and a tablet in it whose clock is months off the shop's: what it
// sends is dated by the shop's all the same.
func walk(t *testing.T) (*testShop, *tab) {
	t.Helper()
	s := setup(t)
	b := newTab(t, s)
	b.Go("/bench/enrol")
	b.enrol()
	return s, b
}

func TestWalkFromTheMorningToTheFirstTick(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	require.Equal(t, 2+len(pin), b.touches, "begin the day: name, PIN, go")
	require.Equal(t, "Ash tray", b.Eval(`document.querySelector(".tile b").textContent`), "what next stands first")

	b.touches = 0
	path := piecePath(s.pieces["Ash tray"].ID)
	b.tapTo(".tile", path)
	b.understand()
	b.openSheet()
	b.says("#tick .save", "All 3 checks hold: save")
	b.Shot("sheet-820")
	b.press("#tick .save")
	b.At("/bench")
	require.Equal(t, 4, b.touches, "finish a step: tile, done, save; and the day's cautions")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	require.Equal(t, []string{"photographed", "clean", "graded-again"}, entries[0].Event.Checks, "the ledger has each answer")
	p := s.piece("Ash tray")
	require.Equal(t, restoration.StepDone, p.Steps[0].State)
	require.EqualValues(t, 60, p.Steps[0].Logged, "hours from the plan")

	b.touches = 0
	b.Shot("undo-820")
	b.tap(".undo .button")
	b.Await(`document.querySelector(".notice")?.textContent.includes("Ash tray: undone, stripped is open again; 1 h taken back.")`)
	b.At("/bench")
	require.Equal(t, 1, b.touches)
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
}

// understand reads the cautions that stand before a piece on the day's first visit.
func (b *tab) understand() {
	b.Do(chromedp.WaitVisible(chromedp.CSS(".unread .button-main")))
	b.tap(".unread .button-main")
	b.Await(`!document.querySelector(".unread")`)
}

// openSheet touches Done and waits for the sheet.
func (b *tab) openSheet() {
	b.tap(`.actionbar a[href="#done"]`)
	b.Await(`location.hash === "#done" && document.querySelector(".save").offsetHeight > 0`)
}

func TestWalkACheckThatDoesNotHold(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.understand()
	b.openSheet()
	shown := func(sel string) string {
		return b.Eval(`String(document.querySelector("` + sel + `").offsetHeight > 0)`)
	}
	require.Equal(t, "false", shown(".instead"))
	b.tap(`label[for="fails-clean"]`)
	require.Equal(t, "true", shown(`label[for=fails-clean] .hold-no`), "it says so in words")
	require.Equal(t, "false", shown(".save"), "nothing to save")
	require.Equal(t, "true", shown(".instead"), "but what helps")
	b.Shot("sheet-fails-820")
	b.tap(`label[for="fails-clean"]`)
	require.Equal(t, "true", shown(".save"), "touched again, taken back")

	b.tap(`label[for="fails-clean"]`)
	b.tap(`.instead button[formaction$="/note"]`)
	b.At(path + "/note")
	require.Equal(t, "Does not hold: No rust in seams, no stripper left. ", b.Eval(`document.querySelector("#note").value`))
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
}

func TestWalkADropletDoesNotSave(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go(piecePath(s.pieces["Ash tray"].ID))
	b.understand()
	b.openSheet()
	b.pass(500)
	b.Droplet(".save")
	b.says("#tick [data-say]", "Too short a touch: touch again.")
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
	b.press(".save")
	b.At("/bench")
}

func TestWalkStepperAndStart(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.understand()
	b.openSheet()
	b.tap(".step-up")
	b.tap(".step-up")
	b.tap(".step-down")
	require.Equal(t, "1.25", b.Eval(`document.querySelector("#hours").value`))
	b.tap(`.sheet a[href="#main"]`)
	b.tap(`button[form="start"]`)
	require.Eventually(t, func() bool { return s.piece("Ash tray").Steps[0].State == restoration.StepInHand }, browsertest.Patience, 50*time.Millisecond)
	b.says(".actionbar .button-main span", "Done")
}

func TestWalkSendBack(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.advance("Ash tray", s.ben, 4)
	b.signIn(s.ada.Name)
	b.Go("/bench/waiting")
	b.touches = 0
	path := piecePath(s.pieces["Ash tray"].ID)
	b.tapTo(".tile", path)
	b.tapTo(`.acts a[href$="/back"]`, path+"/back")
	b.tapTo(`a[href$="defect=colour-off"]`, path+"/back")
	b.Do(chromedp.WaitVisible(chromedp.CSS("[data-hold]")))
	b.Tap("[data-hold]")
	b.says("[data-say]", "Hold for a second.")
	require.Equal(t, path+"/back", b.Eval(`location.pathname`), "a touch is no hold")
	require.False(t, s.piece("Ash tray").Sum.SentBack)
	b.hold("[data-hold]", path)
	require.Equal(t, 4, b.touches, "tile, send back, defect, hold")
	require.True(t, s.piece("Ash tray").Sum.SentBack)
}

func TestWalkHoldByKeyAndByEar(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.advance("Ash tray", s.ben, 5)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	start := func() {
		b.Go(path + "/early")
		b.tap(`label[for="reason-0"]`)
		b.Run(`document.querySelector("[data-hold]").focus()`)
	}
	key := func(kind string) {
		b.Run(`document.activeElement.dispatchEvent(new KeyboardEvent("` + kind + `", {key: "Enter", bubbles: true, cancelable: true}))`)
	}
	start()
	b.Do(chromedp.KeyEvent("\r"))
	b.says("[data-say]", "Hold for a second.")
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[5].State, "a press is no hold")
	key("keydown")
	b.says("[data-say]", "Keep holding …")
	b.At(path)
	p := s.piece("Ash tray")
	require.Equal(t, restoration.StepInHand, p.Steps[5].State)
	require.Equal(t, "Tested: hard enough", p.Steps[5].Reason)

	b.Go(path + "/back?defect=colour-off")
	b.Run(`document.querySelector("[data-hold]").click()`)
	b.says("[data-say]", "Press again to confirm.")
	require.False(t, s.piece("Ash tray").Sum.SentBack)
	b.Run(`document.querySelector("[data-hold]").click()`)
	b.At(path)
	require.True(t, s.piece("Ash tray").Sum.SentBack)
}

func TestWalkGradeOnBareSteel(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.understand()
	b.touches = 0
	b.tapTo(`.acts a[href$="/grade"]`, path+"/grade")
	b.press(`[name=grade][value="4"]`)
	b.At(path)
	require.Equal(t, 2, b.touches)
	require.Equal(t, 4, s.piece("Ash tray").SteelGrade)
}

func TestWalkFindByWords(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Do(chromedp.SendKeys(chromedp.CSS("#code"), "capping "+s.car.WorkOrder))
	b.tapTo(".find .button", "/bench/find")
	b.tapTo(".tile", piecePath(s.pieces["Door capping left"].ID))
}

func TestWalkOffline(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "/note")
	b.Await("scumble.pages") // it comes once the page is drawn
	b.Run("scumble.pages.has = () => false") // as where the browser keeps no pages
	b.Do(chromedp.SendKeys(chromedp.CSS("#note"), "Reverse is pitted"))
	b.Offline(true)
	b.tap(".actionbar .button-main")
	b.says("[data-refusal]", "Not sent yet. It is kept on this tablet and sent when the connection is back.")
	b.says("[data-saved]", "1 waiting to be sent")
	b.tap(".actionbar .button-main") // an impatient finger
	b.Offline(false)
	b.says("[data-saved]", "all saved")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	require.Len(t, entries, 2, "the opening and one note")
	require.Equal(t, "Reverse is pitted", entries[0].Event.Note)
}

func TestWalkScanFromAnyPage(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go(piecePath(s.pieces["Ash tray"].ID))
	b.Do(chromedp.KeyEvent(s.pieces["Door capping left"].Label + "\r"))
	b.At(piecePath(s.pieces["Door capping left"].ID))
}

func TestWalkMove(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.understand()
	require.Contains(t, b.Eval(`document.querySelector(".place").textContent`), "Rack 3, hook 4", "where it lies: no touch")
	b.touches = 0
	b.tapTo(`.acts a[href$="/move"]`, path+"/move")
	b.tapTo(`.picks .button`, path)
	require.Equal(t, 2, b.touches)
	require.Equal(t, "Rack 1, hook 4", s.piece("Ash tray").LiesAt)
}

func TestWalkListRefreshesButNeverUnderAFinger(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	s.enter(startOf(s, "Ash tray", s.ben))
	wake := `document.dispatchEvent(new Event("visibilitychange"))`
	b.Run(wake)
	b.says(".tile b", "Door capping left")
	b.says(".benchnav a", "Ready now 4")

	b.Tap("h1")
	s.enter(startOf(s, "Door capping left", s.ben))
	b.Run(wake)
	require.Never(t, func() bool { return b.Eval(`document.querySelector(".tile b").textContent`) != "Door capping left" },
		time.Second, 50*time.Millisecond, "it was touched just now")
}
