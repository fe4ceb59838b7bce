package main

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

const (
	shownCars  = 20 // a shop large enough: what a page shows is the tablet's affair
	shownTicks = 60
	shownKept  = 100 // pieces, so that as many have a tick that asks for nothing
	shownLimit = 100 * time.Millisecond
	shownWait  = 5 * time.Minute // for the tablet to keep so many pieces, and for one answer of the browser
)

// measureShown takes how long a tick that is made without network needs until it stands
// on its own page, in a browser as a tablet has it: the program is stopped once the tablet
// keeps its pages. On a machine without Chromium it says so.
func measureShown(ctx context.Context, s *site) ([]figure, error) {
	f := figure{Name: "a tick without network stands on its page", Limit: "≤ " + short(shownLimit)}
	program, err := chromium()
	if err != nil {
		f.Limit, f.Measured, f.Detail = "", "-", err.Error()
		return []figure{f}, nil
	}
	db, err := s.shop(ctx, min(shownCars, s.cars))
	if err != nil {
		return nil, err
	}
	a, err := startApp(ctx, s.binary, "serve", "--database-url", db)
	if err != nil {
		return nil, err
	}
	stop := sync.OnceFunc(a.stop)
	defer stop()
	t, closeTab, err := openTablet(ctx, program, a)
	if err != nil {
		return nil, err
	}
	defer closeTab()
	pieces, err := t.keepsPieces(shownTicks)
	if err != nil {
		return nil, err
	}
	stop()
	took, err := t.tickEach(pieces)
	if err != nil {
		return nil, err
	}
	worst := slices.Max(took)
	f.Measured, f.Held = fmt.Sprintf("p50 %s, worst %s", short(median(took)), short(worst)), worst <= shownLimit
	f.Detail = fmt.Sprintf("the worst of %d ticks, a page each, from the submit on; on a busy machine it says how busy that is", len(took))
	return []figure{f}, nil
}

func chromium() (string, error) {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if program, err := exec.LookPath(name); err == nil {
			return program, nil
		}
	}
	return "", errors.New("no Chromium on this machine")
}

// browserTablet is a signed-in tablet in a real browser.
type browserTablet struct {
	ctx  context.Context
	base string
}

// openTablet signs a technician in and opens the lists in a browser that has the cookies.
func openTablet(ctx context.Context, program string, a *app) (_ *browserTablet, closeTab func(), err error) {
	tablets, err := a.signInBench(ctx, 1)
	if err != nil {
		return nil, nil, err
	}
	alloc, cancelAlloc := chromedp.NewExecAllocator(ctx, append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-component-update", true))...)
	tab, cancel := chromedp.NewContext(alloc)
	closeTab = func() { cancel(); cancelAlloc() }
	t := &browserTablet{ctx: tab, base: a.url}
	if err := t.open(tablets[0]); err != nil {
		closeTab()
		return nil, nil, err
	}
	return t, closeTab, nil
}

// open opens the lists with the cookies of a visitor.
func (t *browserTablet) open(v *visitor) error {
	bench := t.base + "/bench"
	at, err := url.Parse(bench)
	if err != nil {
		return err
	}
	if err := chromedp.Do(t.ctx, chromedp.EmulateViewport(820, 1180, chromedp.EmulateTouch)); err != nil {
		return err
	}
	for _, c := range v.client.Jar.Cookies(at) {
		if _, err := chromedp.Call(t.ctx, network.SetCookie, network.SetCookieParams{Name: c.Name, Value: c.Value, URL: bench, Path: "/bench"}); err != nil {
			return err
		}
	}
	return chromedp.Do(t.ctx, chromedp.Navigate(bench))
}

// await waits until a script gives a text.
func (t *browserTablet) await(script string) (string, error) {
	ctx, cancel := context.WithTimeout(t.ctx, shownWait)
	defer cancel()
	for {
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string](script))
		if err == nil && text != "" {
			return text, nil
		}
		select {
		case <-ctx.Done():
			return "", fmt.Errorf("wait for %.80q in the browser: %w", script, errors.Join(ctx.Err(), err))
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// keepsPieces waits until the tablet keeps n pieces with a tick that asks for nothing, and
// gives their paths.
func (t *browserTablet) keepsPieces(n int) ([]string, error) {
	if _, err := t.await(fmt.Sprintf(`parseInt(document.querySelector("[data-pieces-kept]").textContent) >= %d ? "1" : ""`, shownKept)); err != nil {
		return nil, err
	}
	list, err := t.await(`(window.listed ??= (async () => {
		const pages = await caches.open("scumble-pages");
		const ticks = [];
		for (const request of await pages.keys()) {
			const path = new URL(request.url).pathname;
			if (!/^\/bench\/pieces\/[^/]+$/.test(path)) continue;
			const text = await new Response((await pages.match(request)).body.pipeThrough(new DecompressionStream("gzip"))).text();
			const form = new DOMParser().parseFromString(text, "text/html").querySelector("form#tick");
			if (form && !form.dataset.needs && !form.querySelector("[name=fails]:checked")) ticks.push(path);
		}
		window.ticks = ticks.join(" ");
	})(), window.ticks || "")`)
	paths := strings.Fields(list)
	if err == nil && len(paths) < n {
		err = fmt.Errorf("the tablet keeps %d pieces with a tick, not %d", len(paths), n)
	}
	return paths[:min(n, len(paths))], err
}

// copyAt tells that the copy of a page is open, with what keeps entries.
const copyAt = `location.pathname === %q && document.body.dataset.asOf && self.scumble?.outbox ? "1" : ""`

// tickEach ticks a step on the page of each piece, and takes from the submit to the moment
// at which the page says so.
func (t *browserTablet) tickEach(paths []string) ([]time.Duration, error) {
	var took []time.Duration
	for _, path := range paths {
		if err := chromedp.Do(t.ctx, chromedp.Navigate(t.base+path)); err != nil {
			return nil, err
		}
		if _, err := t.await(fmt.Sprintf(copyAt, path)); err != nil {
			return nil, fmt.Errorf("open the copy of %s: %w", path, err)
		}
		ms, err := t.tickHere()
		if err != nil {
			return nil, fmt.Errorf("tick %s: %w", path, err)
		}
		took = append(took, ms)
		if _, err := t.await(fmt.Sprintf(copyAt, "/bench")); err != nil { // the page goes on by itself
			return nil, fmt.Errorf("after the tick of %s: %w", path, err)
		}
	}
	return took, nil
}

// tickHere saves the tick of the page that is open. The hour of both is the page's own, and
// kept for the page that follows.
func (t *browserTablet) tickHere() (time.Duration, error) {
	err := chromedp.Do(t.ctx, chromedp.Evaluate[chromedp.Void](`(() => {
		delete sessionStorage.shown;
		const stamp = () => performance.timeOrigin + performance.now();
		new MutationObserver(() => {
			const says = document.querySelector("[data-unsent]")?.textContent || "";
			if (says.includes("Done")) sessionStorage.shown ??= stamp() - Number(sessionStorage.begun);
		}).observe(document.body, { childList: true, subtree: true, characterData: true });
		const form = document.querySelector("form#tick");
		sessionStorage.begun = stamp();
		form.requestSubmit(form.querySelector(".save"));
	})()`))
	if err != nil {
		return 0, err
	}
	text, err := t.await(`sessionStorage.shown || ""`)
	if err != nil {
		return 0, err
	}
	ms, err := time.ParseDuration(text + "ms")
	return ms, err
}
