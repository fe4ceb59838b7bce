package bench

import (
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"

	"scumble/internal/browsertest"
)

// tab is a tablet in the test's shop. It counts touches.
type tab struct {
	*browsertest.Tab
	shop    *testShop
	touches int
}

func newTab(t *testing.T, s *testShop) *tab {
	t.Helper()
	return &tab{Tab: browsertest.Open(t, s.server.URL, browsertest.Tablet), shop: s}
}

// enrol gives the browser the tablet's cookie.
func (b *tab) enrol() { b.Cookie(deviceCookie, b.shop.token, "/bench") }

// tap touches what sel finds and counts it.
func (b *tab) tap(sel string) {
	b.touches++
	b.Tap(sel)
}

// tapTo is tap where another page follows.
func (b *tab) tapTo(sel, path string) {
	b.tap(sel)
	b.At(path)
}

// press is a touch as long as a hand's, of a thing that the eye has had time to find.
func (b *tab) press(sel string) {
	b.touches++
	b.pass(500)
	lift := b.Hold(sel)
	b.pass(120)
	lift()
}

// pass waits until the page's own clock has gone on so many milliseconds.
func (b *tab) pass(ms int) {
	b.Run("window.since = performance.now()")
	b.Await("performance.now() - window.since > " + strconv.Itoa(ms))
}

// hold keeps a finger on sel until the page has changed to path.
func (b *tab) hold(sel, path string) {
	b.touches++
	lift := b.Hold(sel)
	b.At(path)
	lift()
}

// says waits until the text stands on the page.
func (b *tab) says(sel, text string) {
	b.Sees(text, `document.querySelector('`+sel+`')?.textContent ?? ""`)
}

// tells waits until what sel finds says the text among other things.
func (b *tab) tells(sel, text string) {
	b.Await(`(document.querySelector('` + sel + `')?.textContent ?? "").includes("` + text + `")`)
}

// awaitOutbox waits until the page has fetched what keeps entries.
func (b *tab) awaitOutbox() { b.Await(`self.scumble?.outbox`) }

// signIn goes the way of a person in the morning: name, PIN, Go.
func (b *tab) signIn(name string) {
	b.Go("/bench")
	b.At("/bench/people")
	b.identify(name)
}

// identify signs in from the list of people.
func (b *tab) identify(name string) {
	b.Run(`[...document.querySelectorAll(".people a")].find(a => a.textContent.includes("` + name + `")).id = "me"`)
	b.tap("#me")
	b.Do(chromedp.WaitVisible(chromedp.CSS("[data-pad]")))
	for _, digit := range pin {
		b.tap(`[data-digit="` + string(digit) + `"]`)
	}
	b.tapTo(".pad .button-main", "/bench")
}
