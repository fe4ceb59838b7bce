package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
)

// Every page of the demo's shop fits every screen and has no barrier that axe-core
// finds.
func TestEveryPageFitsAndHasNoBarriers(t *testing.T) {
	t.Parallel()
	p := start(t, "demo", "--listen", "127.0.0.1:0", "--data-dir", t.TempDir())
	requireServedAsSaid(t, p)
	t.Run("office", func(t *testing.T) { t.Parallel(); lookThroughOffice(t, p) })
	t.Run("bench", func(t *testing.T) { t.Parallel(); lookThroughBench(t, p) })
	t.Run("customer and gallery", func(t *testing.T) { t.Parallel(); lookThroughTheRest(t, p) })
}

func lookThroughOffice(t *testing.T, p program) {
	t.Helper()
	tab := browsertest.Open(t, p.base, browsertest.Desk)
	tab.Go("/office/signin")
	look(t, tab, "signin")
	tab.Fill("#name", p.said(t, `name "([^"]+)"`))
	tab.Fill("#password", p.said(t, `password "([^"]+)"`))
	tab.Press("main form button")
	tab.At("/office")
	look(t, tab, "shop")
	car := links(tab, `^/office/cars/\d\d-\d+$`)
	require.NotEmpty(t, car)
	tab.Go(car[1])
	look(t, tab, "car")
	piece := links(tab, `^/office/pieces/[0-9a-f-]{36}$`)
	require.NotEmpty(t, piece)
	pages := []string{piece[0], piece[0] + "/edit", car[1] + "/edit", car[1] + "/import", "/office/cars/new", "/office/people", "/office/tablets",
		"/office/tablets/1", "/office/audit", car[1] + "/links",
		car[1] + "/labels", car[1] + "/travellers", "/office/batches?hours=72", "/office/batches/print?hours=72", "/office/materials", "/office/materials/1", "/office/materials/new", "/office/lots", "/office/air", car[1] + "/finish",
		car[1] + "/film", car[1] + "/readings", "/office/defects", "/office/records", "/office/certificates", "/office/reference", "/office/settings/film",
		car[1] + "/photos", "/office/timesheet", "/office/places", "/office/places/unseen", "/office/places/out", "/office/places/cars", "/office/places/labels", "/office/routes", "/office/settings", "/office/search?q=door", "/office/work", "/office?delivered=1", "/office/search?q=zzz", "/office/nothing"}
	tab.Go("/office/people")
	pages = append(pages, links(tab, `^/office/people/\d+$`)[:1]...)
	tab.Go("/office/timesheet")
	pages = append(pages, links(tab, `^/office/timesheet/[0-9a-f-]{36}\?`)[:1]...)
	tab.Go("/office/places")
	pages = append(pages, links(tab, `^/office/places/\d+$`)[:1]...)
	tab.Go(car[1] + "/links")
	pages = append(pages, links(tab, `^/office/cars/[^/]+/links/\d+$`)...)
	tab.Go("/office/routes")
	pages = append(pages, links(tab, `^/office/routes/\d+$`)[:1]...)
	pages = append(pages, photographed(t, tab)...)
	for _, page := range pages {
		tab.Go(page)
		look(t, tab, "office-"+name(page))
	}
}

// photographed are the pages of photos of a car that has some in the demo, and of one of
// its pieces.
func photographed(t *testing.T, tab *browsertest.Tab) []string {
	t.Helper()
	tab.Go("/office")
	for _, car := range links(tab, `^/office/cars/\d\d-\d+$`) {
		tab.Go(car + "/photos")
		if tab.Eval(`document.querySelector(".photo-acts") ? "photos" : ""`) == "" {
			continue
		}
		tab.Go(car)
		for _, piece := range links(tab, `^/office/pieces/[0-9a-f-]{36}$`) {
			tab.Go(piece)
			if found := links(tab, `^`+piece+`/compare$`); len(found) > 0 {
				return []string{car + "/photos", found[0]}
			}
		}
	}
	require.Fail(t, "no car of the demo has photos")
	return nil
}

func lookThroughBench(t *testing.T, p program) {
	t.Helper()
	tab := browsertest.Open(t, p.base, browsertest.Tablet)
	tab.Go("/bench/enrol")
	look(t, tab, "enrol")
	tab.Fill("#code", p.said(t, `code (\S+),`))
	tab.Submit("Enrol")
	look(t, tab, "people")
	tab.PressText(p.said(t, `(?m)^\s+(\S+ \S+), PIN`))
	tab.Await(padStands)
	look(t, tab, "pin")
	typePIN(tab, p.said(t, `PIN (\d+)`))
	tab.At("/bench")
	look(t, tab, "ready")
	ready := links(tab, `^/bench/pieces/[0-9a-f-]{36}$`)
	require.NotEmpty(t, ready)
	pages := []string{"/bench/together", "/bench/waiting", "/bench/hand", "/bench/scan", "/bench/find", "/bench/find?code=XXXXX", "/bench/hours", "/bench/places"}
	for _, act := range []string{"", "?look=1", "/measure", "/photos", "/back", "/time", "/note", "/move", "/hold", "/skip"} {
		pages = append(pages, ready[0]+act)
	}
	tab.Go("/bench/places")
	place := links(tab, `^/bench/places/\d+$`)
	require.NotEmpty(t, place)
	pages = append(pages, place[0], place[0]+"/put")
	tab.Go("/bench/waiting")
	waiting := links(tab, `^/bench/pieces/[0-9a-f-]{36}$`)
	require.NotEmpty(t, waiting)
	for _, page := range append(pages, waiting[0], waiting[0]+"/early") {
		tab.Go(page)
		look(t, tab, "bench-"+name(page))
	}
	tab.Go("/bench")
	tab.PressText("Next person")
	tab.PressText("Ann-Kathrin Bühl") // she forgot her timer
	typePIN(tab, p.said(t, `Bühl, PIN (\d+)`))
	tab.At("/bench/hours/forgotten")
	look(t, tab, "bench-forgotten")
}

const padStands = `document.querySelector("[data-digit]")?.checkVisibility()`

func typePIN(tab *browsertest.Tab, pin string) {
	tab.Await(padStands)
	for _, digit := range pin {
		tab.Press(fmt.Sprintf(`[data-digit="%c"]`, digit))
	}
	tab.PressText("Go")
}

func lookThroughTheRest(t *testing.T, p program) {
	t.Helper()
	tab := browsertest.Open(t, p.base, browsertest.Phone)
	for _, page := range []string{p.said(t, `(/p/\S+)`), "/p/nothing", "/gallery/office", "/gallery/bench", "/gallery/progress"} {
		tab.Go(page)
		look(t, tab, name(page))
	}
}

// beyondTheFrame names what can be seen only by scrolling sideways, or not at all: what
// is wider than the frame that holds it. Fields scroll what is typed, and what is kept
// for screen readers alone is cut on purpose, and on the tablet a row of choices is
// swiped.
const beyondTheFrame = `[...document.querySelectorAll("body:not(.bench) *")].filter(e => {
	if (e.closest("svg, pre, code, input, textarea, select, .hidden") || !e.checkVisibility() || e.clientWidth < 2) return false;
	const cut = getComputedStyle(e).overflowX;
	return cut !== "visible" && e.scrollWidth > e.clientWidth + 1;
}).map(e => e.tagName + "." + e.className + " " + e.scrollWidth + " in " + e.clientWidth + ": " + e.innerText.slice(0, 60)).join("\n")`

// look holds the page that stands against every screen.
func look(t *testing.T, tab *browsertest.Tab, name string) {
	t.Helper()
	tab.Await(`document.readyState === "complete"`)
	for _, d := range browsertest.AllDevices {
		tab.Resize(d)
		assert.Equal(t, "0", tab.TooWide(), "%s is wider than %d px", name, d.W)
		assert.Empty(t, tab.Eval(beyondTheFrame), "%s at %d px", name, d.W)
		if d == browsertest.Phone || d == browsertest.Desk {
			assert.Empty(t, tab.Barriers(), "%s at %d px", name, d.W)
		}
		tab.Shot(fmt.Sprintf("%s-%d", name, d.W))
	}
}

// links lists the paths of the page's links that match a pattern, each once.
func links(tab *browsertest.Tab, pattern string) []string {
	want, seen := regexp.MustCompile(pattern), map[string]bool{}
	var found []string
	for path := range strings.SplitSeq(tab.Eval(`[...document.querySelectorAll("a[href], input[name=id]")].map(a => a.getAttribute("href")).join(" ")`), " ") {
		if want.MatchString(path) && !seen[path] {
			seen[path] = true
			found = append(found, path)
		}
	}
	return found
}

// name makes a file name of a path.
func name(path string) string {
	path = regexp.MustCompile(`[0-9a-f-]{36}`).ReplaceAllString(path, "piece")
	return strings.Trim(regexp.MustCompile(`[^a-z0-9]+`).ReplaceAllString(path, "-"), "-")
}
