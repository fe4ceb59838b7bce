package browsertest

import (
	"encoding/json"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Tap touches the first thing that sel finds with a finger.
func (b *Tab) Tap(sel string) {
	b.t.Helper()
	b.Do(chromedp.Tap(chromedp.CSS(sel)))
}

// Droplet touches sel for 20 ms by the browser's clock, however busy the machine is.
func (b *Tab) Droplet(sel string) {
	b.t.Helper()
	at := b.Box(sel).Middle()
	now := time.Now()
	b.touchAt(now, input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: at.X, Y: at.Y})
	b.touchAt(now.Add(20*time.Millisecond), input.DispatchTouchEventTypeTouchEnd)
}

// Hold lays a finger on sel and leaves it there until lift is called.
func (b *Tab) Hold(sel string) (lift func()) {
	b.t.Helper()
	at := b.Box(sel).Middle()
	b.touch(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: at.X, Y: at.Y})
	return func() { b.touch(input.DispatchTouchEventTypeTouchEnd) }
}

func (b *Tab) touch(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
	b.t.Helper()
	b.touchAt(time.Now(), kind, points...)
}

func (b *Tab) touchAt(at time.Time, kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, input.DispatchTouchEvent,
		input.DispatchTouchEventParams{Type: kind, TouchPoints: append([]*input.TouchPoint{}, points...), Timestamp: input.TimeSinceEpoch(float64(at.UnixMicro()) / 1e6)})
	require.NoError(b.t, err)
}

// Drag presses the mouse at the first point, moves it over the others and lets go at
// the last.
func (b *Tab) Drag(path ...Point) {
	b.t.Helper()
	lift := b.MouseDown(path[0])
	for _, p := range path[1:] {
		b.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, p.X, p.Y, chromedp.ButtonType(input.MouseButtonLeft)))
	}
	lift(path[len(path)-1])
}

// MouseDown presses the mouse at p and leaves it down until lift is called.
func (b *Tab) MouseDown(p Point) (lift func(Point)) {
	b.t.Helper()
	event := func(kind input.DispatchMouseEventType, p Point) {
		b.Do(chromedp.MouseEvent(kind, p.X, p.Y, chromedp.ButtonType(input.MouseButtonLeft), chromedp.ClickCount(1)))
	}
	event(input.DispatchMouseEventTypeMousePressed, p)
	return func(p Point) { event(input.DispatchMouseEventTypeMouseReleased, p) }
}

// Point is a place on the screen, in CSS px from its left upper corner.
type Point struct{ X, Y float64 }

// Box is where a thing is on the screen, in CSS px.
type Box struct{ X, Y, W, H float64 }

// Middle is the point in the middle of the box.
func (b Box) Middle() Point { return Point{b.X + b.W/2, b.Y + b.H/2} }

// Box tells where the first thing is that sel finds.
func (b *Tab) Box(sel string) Box {
	b.t.Helper()
	var box Box
	got := b.Eval(`(r => JSON.stringify({X: r.x, Y: r.y, W: r.width, H: r.height}))(document.querySelector(` + quote(sel) + `).getBoundingClientRect())`)
	require.NoError(b.t, json.Unmarshal([]byte(got), &box), "where is %s?", sel)
	return box
}

// Cookie gives the browser a cookie for the server's pages below path.
func (b *Tab) Cookie(name, value, path string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, network.SetCookie, network.SetCookieParams{Name: name, Value: value, URL: b.base + path, Path: path})
	require.NoError(b.t, err)
}

// Offline takes the network away from the browser, or gives it back.
func (b *Tab) Offline(away bool) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulateNetwork, networkParams{Offline: away, EmulateNetworkConditionsByRuleParams: network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Offline: away, DownloadThroughput: -1, UploadThroughput: -1}}}})
	require.NoError(b.t, err)
}

// networkParams say once more, for all rules, what newer browsers read of each: those
// before 150 refuse the command without it.
type networkParams struct {
	network.EmulateNetworkConditionsByRuleParams
	Offline bool `json:"offline"`
}

var emulateNetwork = cdp.Command[networkParams, network.EmulateNetworkConditionsByRuleResult]{Method: network.CommandEmulateNetworkConditionsByRule}
