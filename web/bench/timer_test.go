package bench

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/restoration"
)

// presses sends the form of a piece's page that ends in act, as a browser without a
// script does.
func (b *browser) presses(piece, act string) page {
	b.t.Helper()
	p := b.shop.piece(piece)
	return b.post(piecePath(p.ID)+"/"+act, url.Values{"id": {newID()}, "step": {p.Sum.NextStep.String()}, "piece": {p.ID.String()}})
}

func TestATimerIsPausedAndGoesOn(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	require.NotContains(t, b.get("/bench").body, "timerline")
	got := b.presses("Ash tray", "start")
	require.Contains(t, got.body, `</b><span class="timed">on <bdi>Ash tray</bdi>`)
	s.pass(42 * time.Minute)
	for _, path := range []string{"/bench", "/bench/waiting", "/bench/find", "/bench/together", piecePath(s.pieces["Instrument panel"].ID)} {
		require.Contains(t, b.get(path).body, "0 h 42 min", "on every page of the person: %s", path)
	}
	require.NotContains(t, s.signIn(s.ben).get("/bench").body, "timerline", "and of nobody else")

	got = b.presses("Ash tray", "pause")
	require.Contains(t, got.body, "Ash tray: stopped the timer on stripped.")
	require.Contains(t, got.body, `<span>not logged</span> <span class="timed">on <bdi>Ash tray</bdi>`)
	s.pass(2 * time.Hour)
	got = b.presses("Ash tray", "start")
	require.Contains(t, got.body, "Ash tray: the timer runs.")
	s.pass(10 * time.Minute)
	require.Contains(t, b.get("/bench").body, "0 h 52 min", "the time between is not counted")
	require.Contains(t, b.get(piecePath(s.pieces["Ash tray"].ID)).body, `value="0.75"`, "52 minutes are offered as ¾ h")

	got = b.presses("Glove-box door", "start")
	require.Contains(t, got.body, "Ash tray stopped at 0 h 52 min.", "one timer a person, and it says so")
	require.Contains(t, got.body, `</b><span class="timed">on <bdi>Glove-box door</bdi>`)
}

func TestAForgottenTimerIsAskedFor(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	s.pass(5 * time.Hour) // Wednesday, 14:00; the shop closes at 17:00
	b.presses("Ash tray", "start")
	s.pass(18 * time.Hour)
	b = s.signIn(s.ben) // somebody else is not asked
	require.Equal(t, "/bench/waiting", b.get("/bench/waiting").path)
	b = s.open(true)
	b.post(fmt.Sprintf("/bench/pin/%d", s.ada.ID), url.Values{"pin": {pin}})
	got := b.get("/bench/waiting")
	require.Equal(t, forgottenPath, got.path)
	for _, want := range []string{"When did you stop?", "Ash tray", "26-001", "<b>Until closing, 17:00</b>", "<small>3 h</small>", "Nothing was worked", "shows 18 h 00 min"} {
		require.Contains(t, got.body, want)
	}
	require.NotContains(t, got.body, "Until the limit", "which lies after closing")
	require.Zero(t, s.piece("Ash tray").Steps[0].Logged, "nothing is logged by itself")
	step := s.piece("Ash tray").Sum.NextStep.String()
	answer := func(field, value string) page {
		return b.post(hoursPath, url.Values{"id": {newID()}, "step": {step}, "next": {"/bench/waiting"}, field: {value}})
	}
	wrong := answer("hours", "many")
	require.Equal(t, http.StatusUnprocessableEntity, wrong.status)
	require.Contains(t, wrong.body, `value="many"`, "what was typed stays")
	require.Contains(t, wrong.body, `id="hours-error"`)
	require.Equal(t, http.StatusUnprocessableEntity, answer("hours", "").status)
	require.Equal(t, http.StatusUnprocessableEntity, answer("hours", "25").status)

	got = answer("hours", "3")
	require.Equal(t, "/bench/waiting", got.path, "and on to the page that was wanted")
	require.Contains(t, got.body, "3 h logged on Ash tray, stripped, 26-001, for Wed 25 Mar 2026.")
	require.Equal(t, restoration.Minutes(180), s.piece("Ash tray").Steps[0].Logged)
	require.Equal(t, "/bench", b.get(forgottenPath).path, "nothing is asked twice")
	for _, want := range []string{"Wednesday 25 March <b>3 h</b>", "14:00 to 17:00"} {
		require.Contains(t, b.get(hoursPath).body, want, "the day of the work, not that of the answer")
	}
}

// Closing time alone makes a timer forgotten, long before the limit: from the minute on.
func TestATimerThatRanPastClosingIsAskedFor(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	s.pass(6 * time.Hour) // Wednesday, 15:00; the shop closes at 17:00
	b.presses("Ash tray", "start")
	s.pass(2 * time.Hour)
	require.Equal(t, "/bench", b.get("/bench").path, "closing time itself is none too late")
	s.pass(5 * time.Minute)
	got := b.get("/bench")
	require.Equal(t, forgottenPath, got.path)
	require.Contains(t, got.body, "<b>Until closing, 17:00</b><small>2 h</small>")
	require.NotContains(t, got.body, "Until the limit")
	require.NotContains(t, got.body, `href="/bench/scan"`, "nothing leads away before it is answered")
	require.NotContains(t, got.body, `class="benchnav"`)
	require.Contains(t, got.body, "Next person", "but for somebody else")
}

// Two people on one piece: each has a clock of their own, and both count.
func TestTwoPeopleOnOnePieceBothCount(t *testing.T) {
	t.Parallel()
	s := setup(t)
	ada, ben := s.signIn(s.ada), s.signIn(s.ben)
	ada.presses("Ash tray", "start")
	s.pass(30 * time.Minute)
	ben.presses("Ash tray", "start")
	require.Contains(t, ada.get("/bench").body, "0 h 30 min</b>", "whoever else begins")
	s.pass(30 * time.Minute)
	ends := func(b *browser, hours string) {
		t.Helper()
		step := s.piece("Ash tray").Sum.NextStep.String()
		require.Contains(t, b.post(hoursPath, url.Values{"id": {newID()}, "step": {step}, "hours": {hours}, "next": {hoursPath}}).body, "The week: <b>"+hours+" h</b>")
	}
	require.Contains(t, ada.get(hoursPath).body, "1 h 00 min")
	require.Contains(t, ben.get(hoursPath).body, "0 h 30 min")
	ends(ada, "1")
	ends(ben, "0.5")
	require.Equal(t, restoration.Minutes(90), s.piece("Ash tray").Steps[0].Logged)
}

func TestNothingOfAForgottenTimerWasWorked(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	b.presses("Ash tray", "start")
	s.pass(13 * time.Hour)
	require.Equal(t, forgottenPath, b.get("/bench").path)
	form := url.Values{"id": {newID()}, "step": {s.piece("Ash tray").Sum.NextStep.String()}, "checks": {restoration.CheckNotWorked}, "next": {"https://elsewhere.example/"}}
	got := b.post(hoursPath, form)
	require.Equal(t, "/bench", got.path, "never elsewhere")
	require.Contains(t, got.body, "no time is logged")
	require.Zero(t, s.piece("Ash tray").Steps[0].Logged)
}

func TestMyHours(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	b.presses("Ash tray", "start")
	s.pass(50 * time.Minute)
	b.presses("Ash tray", "pause")
	got := b.get(hoursPath)
	require.Contains(t, got.body, "Not logged yet")
	id := regexp.MustCompile(`name="id" value="([^"]+)"`).FindStringSubmatch(got.body)[1]
	form := url.Values{"id": {id}, "step": {s.piece("Ash tray").Sum.NextStep.String()}, "hours": {"0.75"}, "next": {hoursPath}}
	require.Contains(t, b.post(hoursPath, form).body, "0.75 h logged on Ash tray, stripped, 26-001, for Wed 25 Mar 2026.")
	require.Equal(t, restoration.Minutes(45), s.piece("Ash tray").Steps[0].Logged)
	b.post(hoursPath, form)
	require.Equal(t, restoration.Minutes(45), s.piece("Ash tray").Steps[0].Logged, "sent twice, logged once")
	got = b.get(hoursPath)
	for _, want := range []string{"The week: <b>0.75 h</b>", "09:00 to 09:50", "26-001", "Wednesday 25 March"} {
		require.Contains(t, got.body, want)
	}
	require.NotContains(t, got.body, "Not logged yet")
	require.NotContains(t, s.signIn(s.ben).get(hoursPath).body, "0.75 h", "everybody's own")
	require.Contains(t, b.get(hoursPath+"?week=2026-03-16").body, "No hours are logged in this week.")
	require.Contains(t, b.get(hoursPath+"?week=nonsense").body, "0.75 h")
}

// The question and the hours on every screen, with gloves on and without barriers.
func TestTimerPagesFitEveryScreen(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := newTab(t, s)
	b.enrol()
	b.signIn(s.ada.Name)
	s.enter(startOf(s, "Ash tray", s.ada))
	s.pass(20 * time.Minute)
	for name, path := range map[string]string{"hours": hoursPath, "piece": piecePath(s.pieces["Ash tray"].ID) + "?look=1"} {
		b.Go(path)
		measure(t, b, "timer-"+name)
		require.Empty(t, b.Barriers(), path)
	}
	s.pass(13 * time.Hour)
	b.Go("/bench")
	b.At(forgottenPath)
	measure(t, b, "forgotten")
	b.Resize(browsertest.Tablet)
	require.Empty(t, b.Barriers())
	b.Run(`[...document.querySelectorAll(".forgotten button")].at(-1).id = "limit"`)
	b.tapTo("#limit", "/bench")
	require.Equal(t, restoration.Minutes(240), s.piece("Ash tray").Steps[0].Logged)
}

// The clock moves on and is paused by the script, as it would be without connection.
func TestPauseByTheScript(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := newTab(t, s)
	b.enrol()
	b.signIn(s.ada.Name)
	s.enter(startOf(s, "Ash tray", s.ada))
	s.pass(42 * time.Minute)
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "?look=1")
	b.says(".timerline .clock", "0 h 42 min")
	b.Run(`[...document.querySelectorAll(".clockrow button")].find(x => x.textContent.includes("Pause")).id = "pause"`)
	b.tap("#pause")
	b.tells(".timerline", "not logged")
	timers, err := s.store.Timers(t.Context(), s.ada.ID)
	require.NoError(t, err)
	require.Len(t, timers, 1)
	require.True(t, timers[0].Running.IsZero())

	s.pass(time.Hour)
	b.Run(`[...document.querySelectorAll(".clockrow button")].find(x => x.textContent.includes("Go on")).id = "go-on"`)
	b.tap("#go-on")
	b.Await(`document.querySelector(".timerline") && !document.querySelector(".timerline").textContent.includes("not logged")`)
	require.Eventually(t, func() bool {
		timers, err := s.store.Timers(t.Context(), s.ada.ID)
		return err == nil && len(timers) == 1 && !timers[0].Running.IsZero()
	}, browsertest.Patience, 20*time.Millisecond, "the page says so before the shop knows")
	s.pass(210 * time.Second) // half a minute off: the tablet's hour is put right to the second
	b.Go(piecePath(s.pieces["Ash tray"].ID) + "?look=1")
	b.says(".timerline .clock", "0 h 45 min")
}

// Without network the clocks go by what waits on the tablet: a copy that was drawn while a
// timer ran says that it has stopped, and the piece that was begun since can be paused.
func TestClocksWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	s.enter(startOf(s, "Ash tray", s.ada))
	s.pass(42 * time.Minute)
	n := newNetwork(s)
	b.signIn(s.ada.Name)
	b.keeps()
	n.away.Store(true)
	ash, door := piecePath(s.pieces["Ash tray"].ID), piecePath(s.pieces["Glove-box door"].ID)
	b.Go(ash)
	b.tells(".clockrow", "Timer runs")
	for _, page := range []string{"/bench", door, ash} {
		b.Go(page)
		b.tells(".asof", "No network")
		b.awaitClocks()
		b.says(".who small", "0 h 42 minon Ash tray")
	}
	b.Go(door)
	b.understand()
	b.press(`.actionbar button[form="start"]`)
	b.tells("main > .actionbar > .clockrow", "Timer runs")
	b.says(".who small", "Timer runson Glove-box door")
	b.Shot("clock-runs-820")
	b.Go(ash)
	b.tells(".clockrow", "Stopped at0 h 42 min")
	b.Await(`!document.querySelector("[data-event=pause]")`)
	b.Go(door)
	b.press(`.clockrow [data-event="pause"] .button`)
	b.tells("main > .actionbar > .clockrow", "Stopped at0 h 00 min")
	b.says(".who small", "No timer runs")
	b.Shot("clock-stopped-820")
	b.says("[data-saved]", "2 waiting to be sent")

	n.away.Store(false)
	b.online()
	b.says("[data-saved]", "all saved")
	timers, err := s.store.Timers(t.Context(), s.ada.ID)
	require.NoError(t, err)
	require.Len(t, timers, 2)
	for _, timer := range timers {
		require.True(t, timer.Running.IsZero(), timer.Piece)
	}
}

// awaitClocks waits until the scripts that come late have looked at the clocks.
func (b *tab) awaitClocks() { b.Await(`[...document.scripts].some(s => s.src.includes("pages.js"))`) }

// A kept page that was drawn before the clock began shows it as well; another person's never.
func TestTheNewestClockStandsOnEveryKeptPage(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	ash, door := piecePath(s.pieces["Ash tray"].ID), piecePath(s.pieces["Glove-box door"].ID)
	s.enter(startOf(s, "Ash tray", s.ada))
	s.pass(7 * time.Minute)
	b.Go(ash + "?look=1")
	b.Await(`JSON.parse(localStorage["scumble.clock"] || "{}").title === "Ash tray"`)
	b.Go("/bench/hours") // has the clock in its list, none in its head
	b.awaitClocks()
	n.away.Store(true)
	b.Go(door)
	b.tells(".asof", "No network")
	b.says(".who small", "0 h 07 minon Ash tray")
	b.Shot("clock-kept-820")

	b.Run(`localStorage["scumble.clock"] = JSON.stringify({...JSON.parse(localStorage["scumble.clock"]), person: "0"})`)
	b.Go(door)
	b.awaitClocks()
	b.says(".who small", "My hours")
}
