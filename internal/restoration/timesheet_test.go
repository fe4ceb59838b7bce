package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// corrects puts other minutes in the place of those of an earlier entry, as the store
// does: it says what the entry counts for.
func (s *clockShop) corrects(ref ID, minutes int, reason string) Outcome {
	e := s.event(KindCorrect, 0, "", monday.Add(20*time.Hour), Payload{Ref: ref, Hours: new(Minutes(minutes)), Reason: reason})
	for _, r := range Sheet(s.entries) {
		if r.Event.ID == ref {
			e.PieceID, e.StepID, e.Was = r.Event.PieceID, r.Event.StepID, new(r.Hours)
		}
	}
	e.PersonID = 1
	return s.take(e)
}

func TestSheetOfADay(t *testing.T) {
	t.Parallel()
	s := newClockShop()
	s.play(t, "7 start 1 at 0\n7 pause 1 at 20\n7 start 1 at 40\n7 tick 1 at 65 with 45\n7 log-time 2 at 80 with 30\n8 start 2 at 90\n8 pause 2 at 150 with 120")
	rows := Sheet(s.entries)
	require.Len(t, rows, 3)
	at := func(minute int) time.Time { return monday.Add(time.Duration(minute) * time.Minute) }
	require.Equal(t, []any{SourceTimer, Minutes(45), at(0), at(65), Minutes(20)}, told(rows[0]), "45 min of the clock, 20 paused")
	require.Equal(t, []any{SourceTyped, Minutes(30), time.Time{}, time.Time{}, Minutes(0)}, told(rows[1]), "no clock ran")
	require.Equal(t, []any{SourceTyped, Minutes(120), at(90), at(150), Minutes(0)}, told(rows[2]), "not what the clock showed")
	require.Equal(t, Minutes(195), SheetTotal(rows))

	days := SheetDays(rows, time.UTC)
	require.Len(t, days, 2, "two people")
	require.Equal(t, []any{"person 7", Minutes(75), "person 8", Minutes(120)}, []any{days[0].Person, days[0].Hours, days[1].Person, days[1].Hours})
	sums := SheetSums(rows, func(r SheetRow) (string, string) { return r.Piece, r.Piece })
	require.Equal(t, []SheetSum{{"ash tray", "ash tray", 45}, {"dash top", "dash top", 150}}, sums)
}

func told(r SheetRow) []any { return []any{r.Source, r.Hours, r.From, r.To, r.Paused} }

func TestCorrections(t *testing.T) {
	t.Parallel()
	s := newClockShop()
	s.play(t, "7 log-time 1 at 0 with 120\n8 log-time 1 at 10 with 30")
	ref, logged := s.entries[0].Event.ID, func() Minutes { return s.step(1, "stripped").Logged }
	require.Equal(t, Applied, s.corrects(ref, 90, "half an hour was lunch").Result)
	require.Equal(t, Minutes(120), logged())
	row := Sheet(s.entries)[0]
	require.Equal(t, []any{SourceCorrected, Minutes(90), Minutes(120)}, []any{row.Source, row.Hours, row.Typed})
	require.Equal(t, []Correction{{At: monday.Add(20 * time.Hour), By: "person 1", Reason: "half an hour was lunch", Was: 120, Is: 90}}, row.Corrections)
	require.Equal(t, "Corrected the hours of stripped from 2 h to 1.5 h; reason: half an hour was lunch", Words(s.entries[2], Metric))

	require.Equal(t, Already, s.corrects(ref, 90, "again").Result)
	require.Equal(t, Applied, s.corrects(ref, 0, "wrong piece").Result)
	require.Equal(t, Minutes(30), logged())
	require.Equal(t, s.step(1, "stripped").Planned.Likely-30, s.step(1, "stripped").Left, "what is left follows")
	require.Len(t, SheetFilter{}.Choose(Sheet(s.entries)), 2, "what was corrected to nought is still seen")
	require.Contains(t, s.corrects(ref, 60, " ").Reason, "Say why the hours")
	require.Contains(t, s.corrects(ref, 24*60+1, "why").Reason, "One entry holds up to 24 h.")
	require.Contains(t, s.corrects(ref, -1, "why").Reason, "Say how long")
	for reason, p := range map[string]Payload{
		"Only 0.5 h are logged":  {Hours: new(Minutes(0)), Was: new(Minutes(31)), Reason: "below nought"},
		"no such entry of hours": {Hours: new(Minutes(0)), Reason: "of nothing"},
		"from 0 to 24":           {Was: new(Minutes(30)), Reason: "to nothing"},
	} {
		out := s.take(s.event(KindCorrect, 1, "stripped", monday, p))
		require.Equal(t, Refused, out.Result)
		require.Contains(t, out.Reason, reason)
	}
	require.Equal(t, Minutes(30), logged())
}

func TestAnUndoTakesTheLastHoursBack(t *testing.T) {
	t.Parallel()
	s := newClockShop()
	s.play(t, "7 log-time 1 at 0 with 60\n8 tick 1 at 10 with 30\n8 untick 1 at 20 with 30")
	rows := SheetFilter{}.Choose(Sheet(s.entries))
	require.Len(t, rows, 1)
	require.Equal(t, Minutes(60), rows[0].Hours)
}

// What a person says of a clock counts for when it ran, however late they say it.
func TestHoursCountForTheDayOfTheWork(t *testing.T) {
	t.Parallel()
	const day = 24 * 60
	for name, c := range map[string]struct {
		script           string
		worked, from, to int // minutes after Monday, nine; from and to −1: no clock
		source           SheetSource
	}{
		"forgotten overnight":              {"7 start 1 at 318\n7 pause 1 at 1633 with 45", 318, 318, 363, SourceTyped},
		"forgotten, answered the same day": {"7 start 1 at 420\n7 pause 1 at 600 with 60", 420, 420, 480, SourceTyped},
		"stood still until the next day":   {"7 start 1 at 0\n7 pause 1 at 30\n7 pause 1 at 1500 with 30", 0, 0, 30, SourceTimer},
		"stood still, more is said":        {"7 start 1 at 0\n7 pause 1 at 30\n7 pause 1 at 1500 with 60", 0, 0, 30, SourceTyped},
		"of two spans the last":            {"7 start 1 at 0\n7 pause 1 at 60\n7 start 1 at 1440\n7 pause 1 at 3000 with 90", day, 0, day + 30, SourceTyped},
		"of two spans the first":           {"7 start 1 at 0\n7 pause 1 at 60\n7 start 1 at 1440\n7 pause 1 at 3000 with 45", 0, 0, 45, SourceTyped},
		"ticked late as the clock shows":   {"7 start 1 at 0\n7 pause 1 at 30\n7 tick 1 at 1500 with 30", 0, 0, 30, SourceTimer},
		"ticked late, hours of one's own":  {"7 start 1 at 0\n7 pause 1 at 30\n7 tick 1 at 1500 with 120", 1500, 0, 30, SourceTyped},
		"no clock ran":                     {"7 log-time 1 at 1500 with 120", 1500, -1, -1, SourceTyped},
		"after a fortnight":                {"7 start 1 at 0\n7 pause 1 at 30\n7 pause 1 at 20161 with 30", 20161, 0, 30, SourceTimer},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newClockShop()
			s.play(t, c.script)
			rows := Sheet(s.entries)
			require.Len(t, rows, 1)
			at := func(minute int) time.Time {
				if minute < 0 {
					return time.Time{}
				}
				return monday.Add(time.Duration(minute) * time.Minute)
			}
			require.Equal(t, []any{at(c.worked), at(c.from), at(c.to), c.source}, []any{rows[0].WorkedAt, rows[0].From, rows[0].To, rows[0].Source})
			require.Equal(t, rows[0].Typed, SheetTotal(rows), "the day changes, the hours don't")
		})
	}
}

// Whatever was entered, hours never count for a day after the one on which they were
// said, nor for one more than a fortnight before, and their clock never ran beyond.
func TestLawHoursCountForNoLaterDay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := newClockShop()
		for _, e := range drawClockScript(t, s) {
			s.take(e)
		}
		for _, r := range Sheet(s.entries) {
			require.False(t, r.WorkedAt.After(r.Event.At) || r.To.After(r.Event.At) || r.To.Before(r.From))
			require.LessOrEqual(t, r.Event.At.Sub(r.WorkedAt), SheetBack)
			require.GreaterOrEqual(t, r.Paused, Minutes(0))
		}
	})
}

// Whatever happens to a car, what the rows of a step count for is what is logged on it, and
// no row is below nought; replay gives the same.
func TestLawSheetAddsUpToWhatIsLogged(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := &clockShop{shop: drawShop(t)}
		opened := len(s.log)
		now := monday
		for range rapid.IntRange(1, 40).Draw(t, "events") {
			now = now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "hours on")) * time.Hour)
			e := drawEvent(t, s.shop, now, allPieceKinds)
			if rows := Sheet(s.entries); len(rows) > 0 && rapid.IntRange(0, 4).Draw(t, "correct") == 0 {
				row := rapid.SampledFrom(rows).Draw(t, "row")
				e = s.event(KindCorrect, 0, "", now, Payload{Ref: row.Event.ID, Was: new(row.Hours), Reason: "why",
					Hours: new(Minutes(rapid.IntRange(0, 600).Draw(t, "minutes")))})
				e.PieceID, e.StepID = row.Event.PieceID, row.Event.StepID
			}
			s.take(e)
		}
		logged := map[ID]Minutes{}
		for _, row := range Sheet(s.entries) {
			require.GreaterOrEqual(t, row.Hours, Minutes(0))
			logged[row.Event.StepID] += row.Hours
		}
		for _, p := range s.Pieces() {
			for _, st := range p.Steps {
				require.Equal(t, st.Logged, logged[st.ID], "%s of %s", st.Stage, p.Name)
			}
		}
		requireReplay(t, s.shop, opened)
	})
}

func TestSheetFilter(t *testing.T) {
	t.Parallel()
	s := newClockShop()
	s.play(t, "7 log-time 1 at 0 with 60\n8 log-time 1 at 10 with 30")
	rows := Sheet(s.entries)
	rows[0].CarWO, rows[1].CarWO = "26-001", "26-002"
	for name, c := range map[string]struct {
		f    SheetFilter
		want int
	}{
		"all":              {SheetFilter{}, 2},
		"a person":         {SheetFilter{PersonID: 7}, 1},
		"a car":            {SheetFilter{CarWO: "26-002"}, 1},
		"a stage":          {SheetFilter{Stage: "Stripped"}, 2},
		"another stage":    {SheetFilter{Stage: "Primed"}, 0},
		"from, inclusive":  {SheetFilter{From: monday.Add(10 * time.Minute)}, 1},
		"until, exclusive": {SheetFilter{To: monday.Add(10 * time.Minute)}, 1},
	} {
		require.Len(t, c.f.Choose(rows), c.want, name)
	}
}

func TestStagesOfTheSheetStandInTheOrderOfWork(t *testing.T) {
	t.Parallel()
	row := func(stage string, place int, m Minutes) SheetRow {
		return SheetRow{Entry: Entry{Stage: stage, Position: place}, Hours: m}
	}
	require.Equal(t, []SheetSum{{"Stripped", "Stripped", 30}, {"Grained", "Grained", 75}, {"Beaten", "Beaten", 5}, {"Cleared", "Cleared", 20}},
		SheetStages([]SheetRow{row("Cleared", 6, 20), row("Grained", 5, 60), row("Stripped", 1, 30), row("Grained", 4, 15), row("Beaten", 6, 5)}))
}

func TestWeekStartsOnMonday(t *testing.T) {
	t.Parallel()
	for d := range 7 {
		require.Equal(t, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), WeekStart(monday.AddDate(0, 0, d), time.UTC), d)
	}
}
