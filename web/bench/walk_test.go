package bench

import (
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// walk is a shop and a tablet in it whose clock is months off the shop's: what it
// sends is dated by the shop's all the same.
func walk(t *testing.T) (*testShop, *tab) {
	t.Helper()
	needBrowser(t)
	s := setup(t)
	b := newTab(t, s, 820, 1180)
	b.goTo("/bench/enrol")
	b.enrol()
	return s, b
}

// hold keeps a finger on sel until the page has changed to path.
func (b *tab) hold(sel, path string) {
	b.t.Helper()
	b.touches++
	x, y := b.middle(sel)
	b.touch(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: x, Y: y})
	b.at(path)
	b.touch(input.DispatchTouchEventTypeTouchEnd)
}

func (b *tab) touch(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
	b.t.Helper()
	if points == nil {
		points = []*input.TouchPoint{}
	}
	_, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
	require.NoError(b.t, err)
}

func (b *tab) middle(sel string) (x, y float64) {
	b.t.Helper()
	at, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]float64](
		`(r => [r.x + r.width / 2, r.y + r.height / 2])(document.querySelector('`+sel+`').getBoundingClientRect())`))
	require.NoError(b.t, err)
	return at[0], at[1]
}

func (b *tab) cut(offline bool) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Offline: offline, DownloadThroughput: -1, UploadThroughput: -1}}})
	require.NoError(b.t, err)
}

// says waits until the text stands on the page.
func (b *tab) says(sel, text string) {
	b.t.Helper()
	require.Eventually(b.t, func() bool { return b.eval(`(document.querySelector('`+sel+`') || {}).textContent`) == text },
		patience, 50*time.Millisecond, "%s never said %q", sel, text)
}

func TestWalkFromTheMorningToTheFirstTick(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	require.Equal(t, 2+len(pin), b.touches, "begin the day: name, PIN, go")
	require.Equal(t, "Ash tray", b.eval(`document.querySelector(".tile b").textContent`), "what next stands first")

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
	b.shot("undo-820", false)
	b.tapTo(".undo .button", path)
	require.Equal(t, 1, b.touches)
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
}

func TestWalkDoneWithoutChecksStaysOnThePage(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.goTo(path)
	b.tap(`button[form="tick"]`)
	require.Equal(t, path, b.eval(`location.pathname`))
	require.Equal(t, "checks-photographed", b.eval(`document.activeElement.id`), "the first unanswered check is pointed at")
	refused, err := s.store.History(t.Context(), restoration.HistoryFilter{RefusedOpen: true})
	require.NoError(t, err)
	require.Empty(t, refused)
}

func TestWalkStepperAndStart(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.goTo(path)
	b.tap(".step-up")
	b.tap(".step-up")
	b.tap(".step-down")
	require.Equal(t, "1.25", b.eval(`document.querySelector("#hours").value`))
	b.tap(`button[form="start"]`)
	require.Eventually(t, func() bool { return s.piece("Ash tray").Steps[0].State == restoration.StepInHand }, patience, 50*time.Millisecond)
	b.says(".doing .button-main span", "Done")
}

func TestWalkSendBack(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.advance("Ash tray", s.ben, 4)
	b.signIn(s.ada.Name)
	b.goTo("/bench/waiting")
	b.touches = 0
	path := piecePath(s.pieces["Ash tray"].ID)
	b.tapTo(".tile", path)
	b.tapTo(`.acts a[href$="/back"]`, path+"/back")
	b.tapTo(`a[href$="defect=colour-off"]`, path+"/back")
	b.do(chromedp.WaitVisible(chromedp.CSS("[data-hold]")))
	b.do(chromedp.Tap(chromedp.CSS("[data-hold]")))
	require.Equal(t, path+"/back", b.eval(`location.pathname`), "a touch is no hold")
	require.False(t, s.piece("Ash tray").Sum.SentBack)
	b.hold("[data-hold]", path)
	require.Equal(t, 4, b.touches, "tile, send back, defect, hold")
	require.True(t, s.piece("Ash tray").Sum.SentBack)
}

func TestWalkOffline(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.goTo(piecePath(s.pieces["Ash tray"].ID) + "/note")
	b.do(chromedp.SendKeys(chromedp.CSS("#note"), "Reverse is pitted"))
	b.cut(true)
	b.tap(".actionbar .button-main")
	b.says("[data-refusal]", "Not sent yet. It is kept on this tablet and sent when the connection is back.")
	b.says("[data-saved]", "1 waiting to be sent")
	b.tap(".actionbar .button-main") // an impatient finger
	b.cut(false)
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
	b.goTo(piecePath(s.pieces["Ash tray"].ID))
	b.do(chromedp.KeyEvent(s.pieces["Door capping left"].Label + "\r"))
	b.at(piecePath(s.pieces["Door capping left"].ID))
}

func TestWalkMove(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	path := piecePath(s.pieces["Ash tray"].ID)
	b.goTo(path)
	require.Contains(t, b.eval(`document.querySelector(".place").textContent`), "Rack 3, hook 4", "where it lies: no touch")
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
	b.do(chromedp.Evaluate[chromedp.Void](wake))
	b.says(".tile b", "Door capping left")
	b.says(".benchnav a", "Ready now 4")

	s.enter(startOf(s, "Door capping left", s.ben))
	b.do(chromedp.Tap(chromedp.CSS("h1")))
	b.do(chromedp.Evaluate[chromedp.Void](wake))
	require.Never(t, func() bool { return b.eval(`document.querySelector(".tile b").textContent`) != "Door capping left" },
		time.Second, 50*time.Millisecond, "it was touched just now")
}
