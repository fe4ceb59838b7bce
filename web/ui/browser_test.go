package ui

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"scumble/static"
)

// patience is how long a page may take on a busy machine before a test gives up.
const patience = 30 * time.Second

// strictPolicy is what the program sends with every page.
const strictPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// needBrowser skips a test that can't have Chromium, unless the place where it
// runs has promised one.
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

// desk is a browser on a server that shows the gallery and a live page.
type desk struct {
	t       *testing.T
	ctx     context.Context
	url     string
	changes chan struct{} // a send tells the live page that the shop changed

	mu         sync.Mutex
	complaints []string // what the browser logged as an error
}

func newDesk(t *testing.T, more ...func(*http.ServeMux)) *desk {
	t.Helper()
	d := &desk{t: t, changes: make(chan struct{})}
	routes := d.routes()
	for _, add := range more {
		add(routes)
	}
	server := httptest.NewServer(routes)
	t.Cleanup(server.Close)
	d.url = server.URL
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(needBrowser(t)), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	alloc, cancelAlloc := chromedp.NewExecAllocator(t.Context(), opts...)
	t.Cleanup(cancelAlloc)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	d.ctx = ctx
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(1180, 820)))
	require.NoError(t, chromedp.Listen(ctx, func(ev any) {
		if e, ok := ev.(*log.EventEntryAdded); ok && e.Entry.Level == log.EntryLevelError {
			d.mu.Lock()
			defer d.mu.Unlock()
			d.complaints = append(d.complaints, e.Entry.Text)
		}
	}))
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

func (d *desk) do(steps ...chromedp.Action[chromedp.Void]) {
	d.t.Helper()
	ctx, cancel := context.WithTimeout(d.ctx, patience)
	defer cancel()
	require.NoError(d.t, chromedp.Do(ctx, steps...))
}

func (d *desk) goTo(path string) {
	d.t.Helper()
	d.do(chromedp.Navigate(d.url + path))
}

func (d *desk) run(script string) {
	d.t.Helper()
	d.do(chromedp.Evaluate[chromedp.Void](script))
}

// sees waits until the page says so.
func (d *desk) sees(want, expression string) {
	d.t.Helper()
	got := ""
	require.Eventually(d.t, func() bool {
		ctx, cancel := context.WithTimeout(d.ctx, patience)
		defer cancel()
		v, err := chromedp.Run(ctx, chromedp.Evaluate[string](expression))
		got = v
		return err == nil && v == want
	}, patience, 20*time.Millisecond, "%s: want %q", expression, want)
	require.Equal(d.t, want, got)
}

const (
	picked   = `[...document.querySelectorAll("[data-select-table] input:checked")].map(b => b.dataset.piece).join()`
	mirrored = `[...new Set([...document.querySelectorAll("[data-plan] a.selected")].map(a => a.dataset.piece))].sort().join()`
)

func TestOfficeScript(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.goTo("/gallery/office")

	t.Log("slash goes to the search box, but not out of a field")
	d.do(chromedp.KeyEvent("/"))
	d.sees("search", `document.activeElement.id`)
	d.run(`document.querySelector("#g-order").focus()`)
	d.do(chromedp.KeyEvent("/"))
	d.sees("g-order", `document.activeElement.id`)

	t.Log("shift picks the rows between, and the plan shows the same")
	d.run(`document.querySelector("[data-select-table] input[data-piece=p10]").click()`)
	d.run(`document.querySelector("[data-select-table] input[data-piece=p12]").dispatchEvent(new MouseEvent("click", {bubbles: true, shiftKey: true}))`)
	d.sees("p10,p11,p12", picked)
	d.sees("p10,p11,p12", mirrored)

	t.Log("shift on a piece of the plan lets go of it")
	d.run(`document.querySelector("[data-plan] .on-wide a[data-piece=p11]").dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true, shiftKey: true}))`)
	d.sees("p10,p12", picked)
	d.sees("/gallery/office", `location.pathname + location.hash`)

	t.Log("the stepper goes by quarter hours and never below none")
	d.run(`document.querySelector("#g-hours-in").closest(".stepper").querySelector(".step-up").click()`)
	d.sees("2", `document.querySelector("#g-hours-in").value`)
	d.run(`document.querySelector("#g-hours-bad").closest(".stepper").querySelector(".step-down").click()`)
	d.sees("0", `document.querySelector("#g-hours-bad").value`)

	t.Log("the link is copied")
	d.run(`document.querySelector("[data-copy]").click()`)
	d.sees("Copied", `document.querySelector("[data-copy]").textContent`)
}

func TestDraggingOverThePlanPicksItsPieces(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.goTo("/gallery/office")
	d.run(`document.querySelector("[data-plan] .zone-left .on-wide").scrollIntoView({block: "center"})`)
	ctx, cancel := context.WithTimeout(d.ctx, patience)
	defer cancel()
	// From left of the quarter's moulding (p12) to right of the front door's (p10).
	box, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](`(() => {
		const at = (id) => document.querySelector("[data-plan] .on-wide a[data-piece=" + id + "]").getBoundingClientRect();
		return [at("p12").left, at("p12").top + 4, at("p10").right, at("p10").top + 20];
	})()`))
	require.NoError(t, err)
	d.do(
		chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, box[0], box[1], chromedp.ButtonType(input.MouseButtonLeft), chromedp.ClickCount(1)),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, box[0]+40, box[1]+8, chromedp.ButtonType(input.MouseButtonLeft)),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, box[2], box[3], chromedp.ButtonType(input.MouseButtonLeft)),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, box[2], box[3], chromedp.ButtonType(input.MouseButtonLeft), chromedp.ClickCount(1)),
	)
	d.sees("p10,p11,p12", picked)
	d.sees("/gallery/office", `location.pathname + location.hash`)
	d.sees("0", `String(document.querySelectorAll(".lasso").length)`)
}

func TestAChangeInTheShopReachesThePage(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.goTo("/live")
	d.run(`window.heard = 0; document.body.addEventListener("scumble:changed", () => window.heard++)`)
	for range 5 { // a burst is told once
		select {
		case d.changes <- struct{}{}:
		case <-time.After(patience):
			t.Fatal("the page never listened")
		}
	}
	d.sees("1", `String(window.heard)`)
}

// The browser itself finds nothing against the strict policy, and no page is
// wider than the screen, from the smallest phone to the largest desk.
func TestGalleryInTheBrowser(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, size := range [][2]int64{{360, 780}, {820, 1180}, {1180, 820}, {1920, 1080}} {
		for _, face := range GalleryFaces() {
			d.do(chromedp.EmulateViewport(size[0], size[1]))
			d.goTo("/gallery/" + face)
			d.sees("true", `String(document.fonts.check('16px "Atkinson Hyperlegible Next"'))`)
			d.sees("0", `String(Math.max(0, document.documentElement.scrollWidth - innerWidth))`)
		}
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	require.Empty(t, d.complaints)
}

// On the tablet, main actions measure 20 mm and whatever else is touched 10 mm.
func TestBenchTargetsAreLargeEnoughForGloves(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, width := range []int64{360, 820, 1180} {
		d.do(chromedp.EmulateViewport(width, 820))
		d.goTo("/gallery/bench")
		const small = `[...document.querySelectorAll(%s)].map(e => [e.textContent.trim(), e.getBoundingClientRect()])
			.filter(([, r]) => r.height > 1 && r.height < %d).map(([t, r]) => t + " " + r.height).join()`
		d.sees("", fmt.Sprintf(small, `".button-main, .button-danger, .tile, .stepper .button"`, 104))
		d.sees("", fmt.Sprintf(small, `"main a.button, button, select, input:not([type=checkbox], [type=radio]), .choice, nav a"`, 56))
	}
}

// At every width the plan shows each piece once.
func TestOneWidthOfThePlanIsShown(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, width := range []int64{360, 700, 820, 1180, 1920} {
		d.do(chromedp.EmulateViewport(width, 820))
		d.goTo("/gallery/progress")
		d.sees("41", `String([...document.querySelectorAll("[data-plan] [role=listitem]")].filter(e => e.getClientRects().length).length)`)
	}
}
