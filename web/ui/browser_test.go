package ui

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/static"
)

// strictPolicy is what the program sends with every page.
const strictPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// desk is a browser on a server that shows the gallery and a live page.
type desk struct {
	*browsertest.Tab
	changes chan struct{} // a send tells the live page that the shop changed
}

func newDesk(t *testing.T, more ...func(*http.ServeMux)) *desk {
	t.Helper()
	d := &desk{changes: make(chan struct{})}
	routes := d.routes()
	for _, add := range more {
		add(routes)
	}
	server := httptest.NewServer(routes)
	t.Cleanup(server.Close)
	d.Tab = browsertest.Open(t, server.URL, browsertest.Device{W: 1180, H: 820})
	return d
}

func (d *desk) routes() *http.ServeMux {
	mux := http.NewServeMux()
	mux.Handle(static.Prefix, static.Handler())
	mux.HandleFunc("/gallery/{face}", func(w http.ResponseWriter, r *http.Request) {
		page, _ := GalleryPage(r.PathValue("face"))
		w.Header().Set("Content-Security-Policy", strictPolicy)
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_ = page.Render(r.Context(), w)
	})
	mux.HandleFunc("/live", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", strictPolicy)
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_ = OfficePage(PageProps{Title: "Live", Person: "Ada", Live: true}).Render(r.Context(), w)
	})
	mux.HandleFunc(OfficeLivePath, func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/event-stream")
		w.(http.Flusher).Flush()
		for {
			select {
			case <-r.Context().Done():
				return
			case <-d.changes:
				fmt.Fprint(w, "event: changed\ndata: {}\n\n")
				w.(http.Flusher).Flush()
			}
		}
	})
	return mux
}

const (
	picked   = `[...document.querySelectorAll("[data-select-table] input:checked")].map(b => b.dataset.piece).join()`
	mirrored = `[...new Set([...document.querySelectorAll("[data-plan] a.selected")].map(a => a.dataset.piece))].sort().join()`
)

func TestOfficeScript(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.Go("/gallery/office")

	t.Log("slash goes to the search box, but not out of a field")
	d.Do(chromedp.KeyEvent("/"))
	d.Sees("search", `document.activeElement.id`)
	d.Run(`document.querySelector("#g-order").focus()`)
	d.Do(chromedp.KeyEvent("/"))
	d.Sees("g-order", `document.activeElement.id`)

	t.Log("shift picks the rows between, and the plan shows the same")
	d.Run(`document.querySelector("[data-select-table] input[data-piece=p10]").click()`)
	d.Run(`document.querySelector("[data-select-table] input[data-piece=p12]").dispatchEvent(new MouseEvent("click", {bubbles: true, shiftKey: true}))`)
	d.Sees("p10,p11,p12", picked)
	d.Sees("p10,p11,p12", mirrored)

	t.Log("shift on a piece of the plan lets go of it")
	d.Run(`document.querySelector("[data-plan] .on-wide a[data-piece=p11]").dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true, shiftKey: true}))`)
	d.Sees("p10,p12", picked)
	d.Sees("/gallery/office", `location.pathname + location.hash`)

	t.Log("the stepper goes by quarter hours and never below none")
	d.Run(`document.querySelector("#g-hours-in").closest(".stepper").querySelector(".step-up").click()`)
	d.Sees("2", `document.querySelector("#g-hours-in").value`)
	d.Run(`document.querySelector("#g-hours-bad").closest(".stepper").querySelector(".step-down").click()`)
	d.Sees("0", `document.querySelector("#g-hours-bad").value`)

	t.Log("the link is copied")
	d.Run(`document.querySelector("[data-copy]").click()`)
	d.Sees("Copied", `document.querySelector("[data-copy]").textContent`)
}

func TestDraggingOverThePlanPicksItsPieces(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.Go("/gallery/office")
	d.Run(`document.querySelector("[data-plan] .zone-left .on-wide").scrollIntoView({block: "center"})`)
	// From left of the quarter's moulding (p12) to right of the front door's (p10).
	from := d.Box(`[data-plan] .on-wide a[data-piece="p12"]`)
	to := d.Box(`[data-plan] .on-wide a[data-piece="p10"]`)
	d.Drag(browsertest.Point{X: from.X, Y: from.Y + 4}, browsertest.Point{X: from.X + 40, Y: from.Y + 12},
		browsertest.Point{X: to.X + to.W, Y: to.Y + 20})
	d.Sees("p10,p11,p12", picked)
	d.Sees("/gallery/office", `location.pathname + location.hash`)
	d.Sees("0", `String(document.querySelectorAll(".lasso").length)`)
}

func TestAChangeInTheShopReachesThePage(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.Go("/live")
	d.Run(`window.heard = 0; document.body.addEventListener("scumble:changed", () => window.heard++)`)
	for range 5 { // a burst is told once
		select {
		case d.changes <- struct{}{}:
		case <-time.After(browsertest.Patience):
			t.Fatal("the page never listened")
		}
	}
	d.Sees("1", `String(window.heard)`)
}

// The browser itself finds nothing against the strict policy, and no page is
// wider than the screen, from the smallest phone to the largest desk.
func TestGalleryInTheBrowser(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, size := range browsertest.AllDevices {
		d.Resize(size)
		for _, face := range GalleryFaces() {
			d.Go("/gallery/" + face)
			d.Sees("true", `String(document.fonts.check('16px "Atkinson Hyperlegible Next"'))`)
			require.Equal(t, "0", d.TooWide())
		}
	}
	require.Empty(t, d.Complaints())
}

// Main actions measure 20 mm and whatever else is touched 10 mm. On a tablet that
// holds for the steppers of the hours too; a phone is not held in gloves, and there
// they leave room for the checks.
func TestBenchTargetsAreLargeEnoughForGloves(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, width := range []int64{360, 820, 1180} {
		d.Resize(browsertest.Device{W: width, H: 820})
		d.Go("/gallery/bench")
		const small = `[...document.querySelectorAll(%s)].map(e => [e.textContent.trim(), e.getBoundingClientRect()])
			.filter(([, r]) => r.height > 1 && r.height < %d).map(([t, r]) => t + " " + r.height).join()`
		d.Sees("", fmt.Sprintf(small, `".button-main, .button-danger, .tile"`, 104))
		if width > 480 {
			d.Sees("", fmt.Sprintf(small, `".stepper .button"`, 104))
		}
		d.Sees("", fmt.Sprintf(small, `"main a.button, button, select, input:not([type=checkbox], [type=radio]), .choice, nav a"`, 56))
	}
}

// At every width the plan shows each piece once.
func TestOneWidthOfThePlanIsShown(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, width := range []int64{360, 700, 820, 1180, 1920} {
		d.Resize(browsertest.Device{W: width, H: 820})
		d.Go("/gallery/progress")
		d.Sees("41", `String([...document.querySelectorAll("[data-plan] [role=listitem]")].filter(e => e.getClientRects().length).length)`)
	}
}
