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
	for _, check := range []string{"photographed", "clean", "graded-again"} {
		b.tap(`label[for="checks-` + check + `"]`)
	}
	b.tapTo(`button[form="tick"]`, "/bench")
	require.Equal(t, 2+3, b.touches, "finish a step: tile, its three checks, done")
	p := s.piece("Ash tray")
	require.Equal(t, restoration.StepDone, p.Steps[0].State)
	require.EqualValues(t, 60, p.Steps[0].Logged, "hours from the plan")

	b.touches = 0
	b.Shot("undo-820")
	b.tapTo(".undo .button", path)
	require.Equal(t, 1, b.touches)
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
}

func TestWalkDoneWithoutChecksStaysOnThePage(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.tap(`button[form="tick"]`)
	require.Equal(t, path, b.Eval(`location.pathname`))
	require.Equal(t, "checks-photographed", b.Eval(`document.activeElement.id`), "the first unanswered check is pointed at")
	refused, err := s.store.History(t.Context(), restoration.HistoryFilter{RefusedOpen: true})
	require.NoError(t, err)
	require.Empty(t, refused)
}

func TestWalkStepperAndStart(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.Go(path)
	b.tap(".step-up")
	b.tap(".step-up")
	b.tap(".step-down")
	require.Equal(t, "1.25", b.Eval(`document.querySelector("#hours").value`))
	b.tap(`button[form="start"]`)
	require.Eventually(t, func() bool { return s.piece("Ash tray").Steps[0].State == restoration.StepInHand }, browsertest.Patience, 50*time.Millisecond)
	b.says(".doing .button-main span", "Done")
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
	require.Equal(t, path+"/back", b.Eval(`location.pathname`), "a touch is no hold")
	require.False(t, s.piece("Ash tray").Sum.SentBack)
	b.hold("[data-hold]", path)
	require.Equal(t, 4, b.touches, "tile, send back, defect, hold")
	require.True(t, s.piece("Ash tray").Sum.SentBack)
}

func TestWalkOffline(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "/note")
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

	s.enter(startOf(s, "Door capping left", s.ben))
	b.Tap("h1")
	b.Run(wake)
	require.Never(t, func() bool { return b.Eval(`document.querySelector(".tile b").textContent`) != "Door capping left" },
		time.Second, 50*time.Millisecond, "it was touched just now")
}
