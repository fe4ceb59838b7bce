// Package browsertest drives a real browser in tests: a page is opened, read and
// touched as a person would, and looked through for barriers by axe-core.
//
// Chromium must be on the machine. Where it is missing a test is skipped, unless the
// place where it runs has promised one.
package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	_ "embed" // axe
)

// axe is axe-core 4 (Mozilla Public License 2.0), see axe.LICENSE.
//
//go:embed axe.min.js
var axe string

// Patience is how long a page may take on a busy machine before a test gives up.
const Patience = 30 * time.Second

// Tab is one browser with one page.
type Tab struct {
	t    testing.TB
	ctx  context.Context
	base string

	mu         sync.Mutex
	complaints []string
}

// Device is the screen that a browser has.
type Device struct {
	W, H  int64
	Touch bool
}

// The screens that the program is made for.
var (
	Phone         = Device{360, 780, true}
	Tablet        = Device{820, 1180, true}
	TabletAcross  = Device{1180, 820, true}
	Desk          = Device{1920, 1080, false}
	AllDevices    = []Device{Phone, Tablet, TabletAcross, Desk}
	chromiumNames = []string{"chromium-headless-shell", "chromium", "chromium-browser", "google-chrome"} // the shell takes half the processor
)

// Open opens a page of the server at base in a browser with no cookies. with may give it
// more than every browser has: then it is one of its own.
func Open(t testing.TB, base string, d Device, with ...chromedp.ExecAllocatorOption) *Tab {
	t.Helper()
	ctx, cancel := profile(t, with)
	t.Cleanup(cancel)
	b := &Tab{t: t, ctx: ctx, base: base}
	require.NoError(t, chromedp.Do(ctx, emulate(d)))
	require.NoError(t, chromedp.Listen(ctx, b.listen))
	return b
}

func profile(t testing.TB, with []chromedp.ExecAllocatorOption) (context.Context, context.CancelFunc) {
	t.Helper()
	if len(with) == 0 {
		return chromedp.NewContext(join(t), chromedp.WithNewBrowserContext())
	}
	alloc, cancel := chromedp.NewExecAllocator(t.Context(), append(options(t), with...)...)
	t.Cleanup(cancel)
	return chromedp.NewContext(alloc)
}

func options(t testing.TB) []chromedp.ExecAllocatorOption {
	t.Helper()
	return append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(need(t)), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"))
}

// Beside opens another page in the same browser, with its cookies and what it keeps.
func (b *Tab) Beside() *Tab {
	b.t.Helper()
	ctx, cancel := chromedp.NewContext(b.ctx)
	b.t.Cleanup(cancel)
	second := &Tab{t: b.t, ctx: ctx, base: b.base}
	require.NoError(b.t, chromedp.Do(ctx, emulate(Tablet)))
	require.NoError(b.t, chromedp.Listen(ctx, second.listen))
	return second
}

func (b *Tab) listen(event any) {
	if e, ok := event.(*log.EventEntryAdded); ok && e.Entry.Level == log.EntryLevelError {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.complaints = append(b.complaints, e.Entry.Text)
	}
}

// Complaints is what the browser has logged as errors so far, such as what the
// content security policy forbade.
func (b *Tab) Complaints() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.complaints)
}

func need(t testing.TB) string {
	t.Helper()
	for _, name := range chromiumNames {
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

func emulate(d Device) chromedp.Action[chromedp.Void] {
	if d.Touch {
		return chromedp.EmulateViewport(d.W, d.H, chromedp.EmulateTouch)
	}
	return chromedp.EmulateViewport(d.W, d.H)
}

// Resize gives the browser another screen.
func (b *Tab) Resize(d Device) { b.Do(emulate(d)) }

// Do runs actions and fails the test when one of them fails or takes too long.
func (b *Tab) Do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, Patience)
	defer cancel()
	require.NoError(b.t, chromedp.Do(ctx, actions...))
}

// Go opens a path of the server. A page that goes on by itself at that very moment may
// abort it: then it is opened again.
func (b *Tab) Go(path string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, Patience)
	defer cancel()
	err := chromedp.Do(ctx, chromedp.Navigate(b.base+path))
	for err != nil && strings.Contains(err.Error(), "net::ERR_ABORTED") {
		err = chromedp.Do(ctx, chromedp.Navigate(b.base+path))
	}
	require.NoError(b.t, err)
}

// Before runs a script in every page from now on, before the page's own.
func (b *Tab) Before(script string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
	require.NoError(b.t, err)
}

// Run runs a script for what it does.
func (b *Tab) Run(script string) {
	b.t.Helper()
	b.Do(chromedp.Evaluate[chromedp.Void](script))
}

// Eval evaluates a script that gives a string; "" while a page is on its way.
func (b *Tab) Eval(script string) string {
	ctx, cancel := context.WithTimeout(b.ctx, Patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[string](script))
	if err != nil {
		return ""
	}
	return v
}

// Await waits until a script gives "true".
func (b *Tab) Await(script string) {
	b.t.Helper()
	ok := func() bool { return b.Eval(`String(Boolean(`+script+`))`) == "true" }
	if !poll(b.ctx, ok) {
		b.t.Fatalf("never came true at %s: %s\n%s", b.Eval("location.pathname"), script, b.Text("main"))
	}
}

// poll asks ok again and again until it is true or patience ends.
func poll(ctx context.Context, ok func() bool) bool {
	ctx, cancel := context.WithTimeout(ctx, Patience)
	defer cancel()
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	for {
		if ok() {
			return true
		}
		select {
		case <-ctx.Done():
			return false
		case <-tick.C:
		}
	}
}

// Sees waits until a script gives the text.
func (b *Tab) Sees(want, script string) {
	b.t.Helper()
	got := ""
	ok := func() bool { got = b.Eval(script); return got == want }
	if !poll(b.ctx, ok) {
		b.t.Fatalf("%s at %s: want %q, got %q", script, b.Eval("location.pathname"), want, got)
	}
}

// At waits until the page of that path stands whole.
func (b *Tab) At(path string) {
	b.t.Helper()
	b.Await(`location.pathname === ` + quote(path) + ` && document.readyState === "complete"`)
}

// Says waits until the page's main part holds the text.
func (b *Tab) Says(text string) {
	b.t.Helper()
	b.Await(`document.querySelector("main")?.innerText.includes(` + quote(text) + `)`)
}

// Text gives the text that a person sees in what sel finds first.
func (b *Tab) Text(sel string) string {
	return b.Eval(`document.querySelector(` + quote(sel) + `)?.innerText ?? ""`)
}

// Fill types text into the field that sel finds.
func (b *Tab) Fill(sel, text string) {
	b.t.Helper()
	b.Do(chromedp.SetValue(chromedp.CSS(sel), text))
}

// Press clicks, or touches, the first thing that sel finds.
func (b *Tab) Press(sel string) {
	b.t.Helper()
	b.Do(chromedp.Click(chromedp.CSS(sel)))
}

// PressText presses the visible button or link whose words are text, and waits
// until the page that follows stands.
func (b *Tab) PressText(text string) {
	b.t.Helper()
	find := `[...document.querySelectorAll("button, a, summary, label, input[type=submit]")].find(e => e.checkVisibility() && (e.innerText || e.value || "").replace(/\s+/g, " ").trim().startsWith(` + quote(text) + `))`
	b.Await(find)
	b.Eval(`(() => { document.querySelectorAll("[data-pressed]").forEach(e => e.removeAttribute("data-pressed")); ` + find + `.setAttribute("data-pressed", ""); return "" })()`)
	b.Press("[data-pressed]")
}

// Submit presses a button of that text and waits for the page that answers.
func (b *Tab) Submit(text string) {
	b.t.Helper()
	b.Eval(`(document.documentElement.dataset.before = "1")`)
	b.PressText(text)
	b.Await(`document.readyState === "complete" && !document.documentElement.dataset.before`)
}

// Shot keeps a picture of the whole page where SCUMBLE_SHOTS names a folder.
func (b *Tab) Shot(name string) {
	b.t.Helper()
	dir := os.Getenv("SCUMBLE_SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(b.ctx, Patience)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644))
}

// TooWide tells by how many CSS px the page is wider than the screen; 0 is right.
func (b *Tab) TooWide() string {
	return b.Eval(`String(Math.max(0, document.documentElement.scrollWidth - innerWidth))`)
}

// Barriers has axe-core look through the page and lists every violation.
func (b *Tab) Barriers() []string {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, Patience)
	defer cancel()
	if b.Eval(`String("axe" in window)`) == "false" {
		require.NoError(b.t, chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](axe+"; void 0")))
	}
	found, err := chromedp.Run(ctx, chromedp.Evaluate[string](`axe.run(document, {resultTypes: ["violations"]}).then(r =>
		JSON.stringify(r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " — " + (n.failureSummary || "").slice(0, 200)).join(" | "))))`,
		chromedp.EvalAwaitPromise))
	require.NoError(b.t, err)
	var list []string
	require.NoError(b.t, json.Unmarshal([]byte(found), &list), fmt.Sprintf("%.200s", found))
	return list
}

// quote writes text as a script's string.
func quote(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string can always be written
	}
	return string(b)
}
