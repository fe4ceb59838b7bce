package restoration

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// clockShop is a shop whose entries are kept as a reader gets them.
type clockShop struct {
	*shop
	entries []Entry
}

func newClockShop() *clockShop {
	return &clockShop{shop: newShop(Details{Name: "ash tray"}, Details{Name: "dash top"}, Details{Name: "door cap"})}
}

// says enters what a person says of the first stage of a piece, so many minutes after nine.
func (s *clockShop) says(person int64, k Kind, piece, minute int, p Payload) Outcome {
	if k == KindTick {
		p.Checks = append(p.Checks, s.checks("stripped")...)
	}
	e := s.event(k, piece, "stripped", monday.Add(time.Duration(minute)*time.Minute), p)
	e.PersonID = person
	return s.take(e)
}

func (s *clockShop) take(e Event) Outcome {
	out := s.Enter(e)
	s.entries = append(s.entries, Entry{Seq: int64(len(s.entries) + 1), Event: e, Outcome: out, Stage: "Stripped",
		Piece: s.pieceName(e.PieceID), Person: fmt.Sprint("person ", e.PersonID)})
	return out
}

func (s *clockShop) pieceName(id ID) string {
	p, _ := s.Piece(id)
	return p.Name
}

// play reads lines such as "7 start 1 at 0", of a person, a kind, a piece and a minute;
// "with 45" logs minutes.
func (s *clockShop) play(t require.TestingT, script string) {
	for line := range strings.Lines(script) {
		var person int64
		var kind string
		var piece, at, with int
		n, _ := fmt.Sscanf(line, "%d %s %d at %d with %d", &person, &kind, &piece, &at, &with)
		require.GreaterOrEqual(t, n, 4, line)
		var p Payload
		if n == 5 {
			p.Hours = new(Minutes(with))
		}
		s.says(person, Kind(strings.ReplaceAll(kind, "-", " ")), piece, at, s.filled(kind, p))
	}
}

func (s *clockShop) filled(kind string, p Payload) Payload {
	switch kind {
	case "hold", "skip":
		p.Reason = "because"
	case "drop":
		p.Checks = []string{CheckNotWorked}
	}
	return p
}

// shows writes a person's timers at a minute: "ash tray 42, dash top 10 runs".
func (s *clockShop) shows(person int64, minute int) string {
	var parts []string
	for _, t := range Timers(s.entries, person) {
		part := fmt.Sprintf("%s %d", t.Piece, t.Worked(monday.Add(time.Duration(minute)*time.Minute)))
		if !t.Running.IsZero() {
			part += " runs"
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, ", ")
}

func TestTimers(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		script string
		at     int
		want   string // of person 7
	}{
		"none":                              {"", 60, ""},
		"runs":                              {"7 start 1 at 0", 42, "ash tray 42 runs"},
		"of another":                        {"8 start 1 at 0", 42, ""},
		"stands after a pause":              {"7 start 1 at 0\n7 pause 1 at 42", 200, "ash tray 42"},
		"the time between is not counted":   {"7 start 1 at 0\n7 pause 1 at 42\n7 start 1 at 100", 110, "ash tray 52 runs"},
		"another start stops the first":     {"7 start 1 at 0\n7 start 2 at 42", 50, "dash top 8 runs, ash tray 42"},
		"started twice":                     {"7 start 1 at 0\n7 start 1 at 10", 50, "ash tray 50 runs"},
		"paused twice":                      {"7 start 1 at 0\n7 pause 1 at 10\n7 pause 1 at 20", 50, "ash tray 10"},
		"the pause of another piece":        {"7 start 1 at 0\n7 pause 2 at 10", 50, "ash tray 50 runs"},
		"the pause of another person":       {"7 start 1 at 0\n8 pause 1 at 10", 50, "ash tray 50 runs"},
		"two people on one piece":           {"7 start 1 at 0\n8 start 1 at 10", 50, "ash tray 50 runs"},
		"done":                              {"7 start 1 at 0\n7 tick 1 at 42 with 45", 50, ""},
		"done without hours":                {"7 start 1 at 0\n7 tick 1 at 42", 50, ""},
		"done by another: not logged yet":   {"7 start 1 at 0\n8 start 1 at 10\n8 tick 1 at 42 with 30", 50, "ash tray 42"},
		"a start after the tick":            {"8 tick 1 at 0\n7 start 1 at 10", 50, ""},
		"logged: runs on from nought":       {"7 start 1 at 0\n7 log-time 1 at 42 with 45", 50, "ash tray 8 runs"},
		"logged by another":                 {"7 start 1 at 0\n8 log-time 1 at 42 with 45", 50, "ash tray 50 runs"},
		"hours alone start nothing":         {"7 log-time 1 at 0 with 45", 50, ""},
		"a pause that logs":                 {"7 start 1 at 0\n7 pause 1 at 42 with 30", 50, ""},
		"a hold stops everybody":            {"7 start 1 at 0\n8 hold 1 at 42", 50, "ash tray 42"},
		"a hold of another piece":           {"7 start 1 at 0\n8 hold 2 at 42", 50, "ash tray 50 runs"},
		"skipped":                           {"7 start 1 at 0\n8 skip 1 at 42", 50, "ash tray 42"},
		"undone: shows what it had shown":   {"7 start 1 at 0\n7 tick 1 at 42 with 45\n7 untick 1 at 43 with 45", 50, "ash tray 42"},
		"unticked, the hours stay":          {"7 start 1 at 0\n7 tick 1 at 42 with 45\n7 untick 1 at 43", 50, ""},
		"started again after an undo":       {"7 start 1 at 0\n7 tick 1 at 42 with 45\n7 untick 1 at 43 with 45\n7 start 1 at 44", 50, "ash tray 48 runs"},
		"the pause came before the start":   {"7 pause 1 at 42\n7 start 1 at 0", 50, "ash tray 42"},
		"the start came after the tick":     {"7 tick 1 at 42 with 45\n7 start 1 at 0", 50, ""},
		"another start came late":           {"7 start 1 at 0\n7 pause 1 at 42\n7 start 2 at 20", 50, "dash top 30 runs, ash tray 20"},
		"paused and started in one minute":  {"7 start 1 at 0\n7 pause 1 at 0\n7 start 1 at 0", 50, "ash tray 50 runs"},
		"a start that the rules refused":    {"8 hold 1 at 0\n7 start 1 at 10", 50, ""},
		"looked at before it was started":   {"7 start 1 at 60", 50, "ash tray 0 runs"},
		"the one that runs stands in front": {"7 start 2 at 0\n7 start 1 at 10\n7 start 3 at 20\n7 start 2 at 30", 50, "dash top 30 runs, door cap 10, ash tray 10"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newClockShop()
			s.play(t, c.script)
			require.Equal(t, c.want, s.shows(7, c.at))
		})
	}
}

func TestATimerThatNothingOfWasWorked(t *testing.T) {
	t.Parallel()
	s := newClockShop()
	s.play(t, "7 start 1 at 0")
	require.Equal(t, Applied, s.says(7, KindPause, 1, 42, Payload{Checks: []string{CheckNotWorked}}).Result)
	require.Empty(t, s.shows(7, 50))
	require.Zero(t, s.step(1, "stripped").Logged)
}

func TestQuarters(t *testing.T) {
	t.Parallel()
	for m, want := range map[Minutes]Minutes{0: 15, 7: 15, 22: 15, 23: 30, 42: 45, 52: 45, 53: 60, 120: 120} {
		require.Equal(t, want, m.Quarters(), "%d min", m)
	}
}

// A timer of Monday 9:00 in a shop that closes at 17:00, with the limit of 4 h.
func TestForgottenTimers(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		script  string
		at      int
		closing Minutes
		limit   Minutes // both 0: not forgotten
	}{
		"at the limit":            {"7 start 1 at 0", 240, 0, 0},
		"past the limit":          {"7 start 1 at 0", 241, 0, 240},
		"past closing":            {"7 start 1 at 420", 481, 60, 0},
		"at closing":              {"7 start 1 at 420", 480, 0, 0},
		"past both":               {"7 start 1 at 0", 600, 480, 240},
		"overnight":               {"7 start 1 at 420", 1440, 60, 0},
		"begun after closing":     {"7 start 1 at 500", 600, 0, 0},
		"begun after, overnight":  {"7 start 1 at 500", 1440, 0, 240},
		"begun before opening":    {"7 start 1 at -120", 60, 0, 0},
		"closed by the next day":  {"7 start 1 at 420\n7 start 2 at 1440", 1441, 60, 0},
		"stands with 30, forgot":  {"7 start 1 at 0\n7 pause 1 at 30\n7 start 1 at 450", 500, 60, 0},
		"stands within its bound": {"7 start 1 at 0\n7 pause 1 at 30", 5000, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newClockShop()
			s.play(t, c.script)
			f, forgot := StockSettings().FindForgotten(Timers(s.entries, 7), monday.Add(time.Duration(c.at)*time.Minute))
			require.Equal(t, c.closing > 0 || c.limit > 0, forgot)
			require.Equal(t, []Minutes{c.closing, c.limit}, []Minutes{f.Closing, f.Limit})
			if forgot {
				require.Equal(t, "ash tray", f.Piece)
				require.Equal(t, c.closing > 0, f.ShutAt.Equal(monday.Add(8*time.Hour)), "the shop closes at 17:00")
			}
		})
	}
}

func TestClosingTime(t *testing.T) {
	t.Parallel()
	cal := StockSettings().Calendar
	cal.Holidays = []string{"2026-03-03"}
	require.Equal(t, monday.Add(8*time.Hour), cal.Closing(monday, time.UTC))
	require.Zero(t, cal.Closing(monday.Add(8*time.Hour), time.UTC), "shut by then")
	require.Zero(t, cal.Closing(monday.AddDate(0, 0, 1), time.UTC), "a holiday")
	require.Zero(t, cal.Closing(monday.AddDate(0, 0, -1), time.UTC), "a Sunday")
}

// drawClockScript draws starts, pauses, logs and ticks of three people on three pieces, of
// the first stage, which nothing gates.
func drawClockScript(t *rapid.T, s *clockShop) []Event {
	var events []Event
	for range rapid.IntRange(1, 25).Draw(t, "entries") {
		k := rapid.SampledFrom([]Kind{KindStart, KindStart, KindStart, KindPause, KindPause, KindLogTime, KindTick}).Draw(t, "kind")
		n := rapid.IntRange(1, 3).Draw(t, "piece")
		at := monday.Add(time.Duration(rapid.IntRange(0, 600).Draw(t, "minute")) * time.Minute)
		p := Payload{Checks: s.checks("stripped")}
		if k == KindLogTime || rapid.Bool().Draw(t, "with hours") && k != KindStart {
			p.Hours = new(Minutes(rapid.IntRange(1, 300).Draw(t, "hours")))
		}
		e := s.event(k, n, "stripped", at, p)
		e.Arrived, e.PersonID = monday.Add(12*time.Hour), int64(rapid.IntRange(7, 9).Draw(t, "person"))
		events = append(events, e)
	}
	return events
}

// Starts, pauses, logs and ticks that arrive in any order give the same timers, and the
// same hours on the steps and on the sheet.
func TestLawTimersDontMindTheOrderOfArrival(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		inOrder, shuffled := newClockShop(), newClockShop()
		events := drawClockScript(t, inOrder)
		for _, e := range rapid.Permutation(events).Draw(t, "arrival") {
			shuffled.take(e)
		}
		slices.SortStableFunc(events, func(a, b Event) int { return a.At.Compare(b.At) })
		for _, e := range events {
			inOrder.take(e)
		}
		for person := int64(7); person <= 9; person++ {
			require.Equal(t, Timers(inOrder.entries, person), Timers(shuffled.entries, person))
		}
		for n := 1; n <= 3; n++ {
			require.Equal(t, inOrder.step(n, "stripped").Logged, shuffled.step(n, "stripped").Logged)
		}
		require.Equal(t, clockOf(Sheet(inOrder.entries)), clockOf(Sheet(shuffled.entries)))
	})
}

// clockOf is what a row says of the clock, by entry.
func clockOf(rows []SheetRow) map[ID]SheetRow {
	by := map[ID]SheetRow{}
	for _, r := range rows {
		by[r.Event.ID] = SheetRow{Hours: r.Hours, WorkedAt: r.WorkedAt, From: r.From, To: r.To, Paused: r.Paused, Source: r.Source}
	}
	return by
}

// Whatever was entered: no person has two timers running, spans of one person never
// overlap and are none of them empty, and no step has a running timer once it is done.
func TestLawAPersonHasOnePairOfHands(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := newClockShop()
		for _, e := range drawClockScript(t, s) {
			s.take(e)
		}
		now := monday.Add(13 * time.Hour)
		c := windClocks(s.entries)
		spans := map[int64][]Span{}
		for _, timer := range c.timers {
			spans[timer.PersonID] = append(spans[timer.PersonID], timer.Until(now)...)
			require.False(t, !timer.Running.IsZero() && c.settled[timer.StepID], "a done step is not worked on")
		}
		for _, e := range s.entries {
			spans[e.Event.PersonID] = append(spans[e.Event.PersonID], c.logged[e.Event.ID]...)
		}
		for _, list := range spans {
			slices.SortFunc(list, func(a, b Span) int { return a.From.Compare(b.From) })
			for i := range list {
				require.False(t, list[i].To.Before(list[i].From))
				require.False(t, i > 0 && list[i].From.Before(list[i-1].To), "no two clocks of one person ran at once: %v", list)
			}
		}
	})
}
