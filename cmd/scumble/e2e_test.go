package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/restoration"
)

// program is the whole program, running in this process on a free port.
type program struct {
	base  string
	lines []string // what it printed up to the listening line
}

// start runs the program until the test ends, and waits until it listens.
func start(t *testing.T, args ...string) program {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	out, in := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := run(ctx, args, strings.NewReader(""), in, io.Discard)
		_ = in.CloseWithError(io.EOF)
		ended <- err
	}()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-ended)
	})
	var p program
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		p.lines = append(p.lines, lines.Text())
		if base, ok := strings.CutPrefix(lines.Text(), "listening on "); ok {
			p.base = base
			break
		}
	}
	require.NotEmpty(t, p.base, "it ended before it listened: %v", p.lines)
	go func() { _, _ = io.Copy(io.Discard, out) }() // what it prints later must not block it
	return p
}

// said finds what the program printed by a pattern with one group.
func (p program) said(t *testing.T, pattern string) string {
	t.Helper()
	found := regexp.MustCompile(pattern).FindStringSubmatch(strings.Join(p.lines, "\n"))
	require.NotNil(t, found, "%s in %v", pattern, p.lines)
	return found[1]
}

const (
	owner    = "Ada Vell"
	password = "correct horse wood"
	pin      = "4826"
)

// The main job from end to end: the owner takes in a car and lets a tablet in, a
// technician ticks a piece through, the owner's page and the customer's link follow
// without a reload, and the revoked link opens nothing.
func TestFromTrimListToRevokedLink(t *testing.T) {
	t.Parallel()
	p := start(t, "serve", "--listen", "127.0.0.1:0", "--data-dir", t.TempDir())
	office := browsertest.Open(t, p.base, browsertest.Desk)
	setUp(office, p.said(t, "one-time code: (.+)"))
	car := takeIn(office)
	tablet := enrol(t, p, office)

	office.Go(car)
	office.Says("46 pieces")
	link := makeLink(office)

	tablet.Go("/bench")
	tablet.Shot("e2e-ready")
	first := tablet.Eval(`document.querySelector("main a[href^='/bench/pieces/']").getAttribute("href")`)
	require.NotEmpty(t, first)
	tablet.Go(first)
	office.Eval(`document.documentElement.dataset.unreloaded = "yes"`)
	tickOnScreen(tablet)
	office.Await(`document.documentElement.dataset.unreloaded === "yes" && document.querySelector("main").innerText.includes("Stripped") &&
		[...document.querySelectorAll("main tr")].some(r => /stripped/i.test(r.innerText) && /\b45\b/.test(r.innerText))`)
	office.Shot("e2e-car-after-tick")

	tickThrough(t, tablet, first)
	office.Await(`document.documentElement.dataset.unreloaded === "yes" && /1 piece of 46|1 of 46/.test(document.querySelector("main").innerText)`)

	customer := browsertest.Open(t, p.base, browsertest.Phone)
	customer.Go(link)
	customer.Says("1 of 46 pieces is grained or further")
	customer.Shot("e2e-customer")
	require.Empty(t, customer.Eval(`document.cookie`))
	require.NotContains(t, customer.Text("body"), owner)

	office.Go(car)
	office.PressText("Change or revoke")
	office.Says("can't be undone")
	office.PressText("Revoke")
	office.Says("The link is revoked")
	customer.Go(link)
	customer.Says("doesn't open anything")
	answer, err := http.Get(p.base + link)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusNotFound, answer.StatusCode)
}

// setUp makes the owner's account with the one-time code.
func setUp(office *browsertest.Tab, code string) {
	office.Go("/office")
	office.At("/office/setup")
	office.Fill("#code", code)
	office.Fill("#name", owner)
	office.Fill("#password", password)
	office.Press("main form button")
	office.At("/office")
	office.Says("Nobody works at the bench yet")
}

// takeIn makes a car of the saloon's body list and gives its path.
func takeIn(office *browsertest.Tab) string {
	office.Go("/office/cars/new")
	office.Fill("#name", "1936 Brennick Eight")
	office.Fill("#customer", "E. Marchetti-Lowe")
	office.Fill("#body_list", "saloon")
	office.Shot("e2e-new-car")
	office.Submit("Take in the car")
	office.Await(`/^\/office\/cars\/\d\d-\d+$/.test(location.pathname)`)
	return office.Eval(`location.pathname`)
}

// enrol lets a tablet in, gives a technician a PIN and signs in with it.
func enrol(t *testing.T, p program, office *browsertest.Tab) *browsertest.Tab {
	office.Go("/office/people")
	office.Fill("#name", "Jonas Örn")
	office.Fill("#pin", pin)
	office.Submit("Add")
	office.Says("Jonas Örn")
	office.Go("/office/tablets")
	office.Fill("#name", "Bench tablet")
	office.Submit("Make a code")
	office.Says("Code for Bench tablet")
	code := strings.TrimSpace(office.Text("main .bigcode"))
	require.NotEmpty(t, code)

	tablet := browsertest.Open(t, p.base, browsertest.Tablet)
	tablet.Go("/bench")
	tablet.At("/bench/enrol")
	tablet.Fill("#code", code)
	tablet.Submit("Enrol")
	tablet.At("/bench/people")
	tablet.PressText("Jonas Örn")
	tablet.Await(`document.querySelector("[data-digit]")?.checkVisibility()`)
	for _, digit := range pin {
		tablet.Press(fmt.Sprintf(`[data-digit="%c"]`, digit))
	}
	tablet.PressText("Go")
	tablet.At("/bench")
	return tablet
}

// makeLink makes a progress link and gives its path.
func makeLink(office *browsertest.Tab) string {
	office.Eval(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	office.PressText("Make a link")
	office.Await(`[...document.querySelectorAll("input")].some(i => i.value.includes("/p/"))`)
	office.Shot("e2e-link")
	return office.Eval(`new URL([...document.querySelectorAll("input")].find(i => i.value.includes("/p/")).value).pathname`)
}

// tickOnScreen reads the cautions of the day's first work, presses Done, and saves on the
// sheet that opens.
func tickOnScreen(tablet *browsertest.Tab) {
	tablet.Shot("e2e-cautions")
	tablet.PressText("Understood")
	tablet.Await(`!document.querySelector(".unread")`)
	tablet.Shot("e2e-piece")
	tablet.PressText("Done")
	tablet.Await(`location.hash === "#done" && document.querySelector(".save").offsetHeight > 0`)
	tablet.Shot("e2e-sheet")
	tablet.Eval(`document.querySelector(".save").click()`)
	tablet.At("/bench")
}

// tickThrough sends the other steps of a piece as a tablet's script would, against
// every wait, with the checks of the stock route answered.
func tickThrough(t *testing.T, tablet *browsertest.Tab, piece string) {
	t.Helper()
	checks := []string{restoration.CheckScuffed}
	for _, stage := range restoration.StockRoute().Stages {
		for _, c := range stage.Checks {
			checks = append(checks, c.Key)
		}
	}
	keys, err := json.Marshal(checks)
	require.NoError(t, err)
	for range 7 {
		tablet.Go(piece)
		tablet.Await(`document.querySelector("[data-next-step]")`)
		tablet.Eval(`(async () => {
			const step = document.querySelector("[data-next-step]").dataset.nextStep;
			const answer = await fetch("/bench/events", {method: "POST", headers: {"Content-Type": "application/json"},
				body: JSON.stringify([{id: crypto.randomUUID(), kind: "tick", step, at: new Date().toISOString(), hours: 0.5,
					checks: ` + string(keys) + `, reason: "caught up"}])});
			window.outcome = (await answer.json())[0].outcome;
		})() && ""`)
		tablet.Await(`window.outcome`)
		require.Equal(t, "applied", tablet.Eval(`window.outcome`))
	}
	tablet.Go(piece)
	tablet.Says("Nothing is left to do")
}
