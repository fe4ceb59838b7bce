package bench

import (
	"context"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// patience is how long a page may take on a busy machine before a test gives up.
const patience = 30 * time.Second

// tab is a touch screen on the test's shop. It counts touches.
type tab struct {
	t       *testing.T
	shop    *testShop
	ctx     context.Context
	touches int
}

// needBrowser skips a test that can't have Chromium, unless the place where it runs
// has promised one.
func needBrowser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" || strings.Contains(os.Getenv("SCUMBLE_REQUIRE"), "browser") {
		t.Fatal("no Chromium for the tests: install it, or leave SCUMBLE_REQUIRE without \"browser\"")
	}
	t.Skip("no Chromium for the tests")
	return ""
}

// newTab opens a browser of its own with a touch screen of w × h.
func newTab(t *testing.T, s *testShop, w, h int64) *tab {
	t.Helper()
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(needBrowser(t)), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("hide-scrollbars", true))
	alloc, cancelAlloc := chromedp.NewExecAllocator(t.Context(), opts...)
	t.Cleanup(cancelAlloc)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(w, h, chromedp.EmulateTouch)))
	return &tab{t: t, shop: s, ctx: ctx}
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	require.NoError(b.t, chromedp.Do(ctx, steps...))
}

func (b *tab) size(w, h int64) { b.do(chromedp.EmulateViewport(w, h, chromedp.EmulateTouch)) }

func (b *tab) goTo(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.shop.server.URL + path))
}

// enrol gives the browser the tablet's cookie.
func (b *tab) enrol() {
	b.t.Helper()
	at, err := url.Parse(b.shop.server.URL)
	require.NoError(b.t, err)
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	_, err = chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{Name: deviceCookie, Value: b.shop.token, Domain: at.Hostname(), Path: "/bench"})
	require.NoError(b.t, err)
}

// tap touches what sel finds and counts it.
func (b *tab) tap(sel string) {
	b.t.Helper()
	b.touches++
	b.do(chromedp.Tap(chromedp.CSS(sel)))
}

// tapTo is tap where another page follows.
func (b *tab) tapTo(sel, path string) {
	b.t.Helper()
	b.tap(sel)
	b.at(path)
}

// at waits until the page of that path stands.
func (b *tab) at(path string) {
	b.t.Helper()
	require.Eventually(b.t, func() bool {
		return b.eval(`location.pathname + " " + document.readyState`) == path+" complete"
	}, patience, 50*time.Millisecond, "never came to %s", path)
}

// eval gives a string, "" while a page is on its way.
func (b *tab) eval(expression string) string {
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[string](expression))
	if err != nil {
		return ""
	}
	return v
}

// signIn goes the way of a person in the morning: name, PIN, Go.
func (b *tab) signIn(name string) {
	b.t.Helper()
	b.goTo("/bench")
	b.at("/bench/people")
	b.do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll(".people a")].find(a => a.textContent.includes("` + name + `")).id = "me"`))
	b.tap("#me")
	b.do(chromedp.WaitVisible(chromedp.CSS("[data-pad]")))
	for _, digit := range pin {
		b.tap(`[data-digit="` + string(digit) + `"]`)
	}
	b.tapTo(".pad .button-main", "/bench")
}

// shot keeps a picture where SCUMBLE_SHOTS names a folder, for a person to look at.
func (b *tab) shot(name string, whole bool) {
	b.t.Helper()
	dir := os.Getenv("SCUMBLE_SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	act := chromedp.CaptureScreenshot()
	if whole {
		act = chromedp.FullScreenshot(100)
	}
	png, err := chromedp.Run(ctx, act)
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644))
}
