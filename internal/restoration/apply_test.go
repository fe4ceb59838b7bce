package restoration

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const day = 24 * time.Hour

// shopAt gives a shop whose one medium piece has been ticked up to and including a stage.
func shopAt(t *testing.T, last string) (*shop, time.Time) {
	t.Helper()
	s := newShop(Details{Name: "door capping"})
	now := monday
	for _, stage := range s.route.Stages {
		if last == "" || stage.Repair {
			continue
		}
		require.Equal(t, Applied, s.tick(1, stage.Key, now, 1).Result, stage.Key)
		if stage.Key == last {
			break
		}
		if from := s.piece(1).Sum.GateFrom; from.After(now) {
			now = from
		}
	}
	return s, now
}

// refusals are events that the rules refuse, of a piece that has come so far.
var refusals = map[string]struct {
	after string // last stage ticked
	event func(s *shop, now time.Time) Event
	want  string // in the reason
	from  time.Duration
}{
	"out of order": {"", func(s *shop, now time.Time) Event {
		return s.event(KindTick, 1, "primed", now, Payload{})
	}, "Stripped comes first", 0},
	"check not answered": {"", func(s *shop, now time.Time) Event {
		return s.event(KindTick, 1, "stripped", now, Payload{Checks: []string{"photographed", "clean"}})
	}, "Condition graded again", 0},
	"in a wait": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindTick, 1, "blocked", now.Add(time.Hour), Payload{Checks: s.checks("blocked")})
	}, "may begin in 15 h", 16 * time.Hour},
	"start in a wait": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindStart, 1, "blocked", now.Add(90*time.Minute), Payload{})
	}, "may begin in 14 h 30 min", 16 * time.Hour},
	"window shut": {"stripped", func(s *shop, now time.Time) Event {
		return s.event(KindTick, 1, "primed", now.Add(25*time.Hour), Payload{Checks: s.checks("primed")})
	}, "window shut 1 h ago", 0},
	"fitting waits for the clear, not for the cut": {"cut", func(s *shop, now time.Time) Event {
		return s.event(KindTick, 1, "fitted", now.Add(day), Payload{Checks: s.checks("fitted")})
	}, "fitted may begin in 4 d. It still hardens after cleared.", 5 * day},
	"wet from blocking": {"blocked", func(s *shop, now time.Time) Event {
		return s.event(KindStart, 1, "grounded", now.Add(time.Hour), Payload{})
	}, "grounded may begin in 11 h. It still dries after blocked.", 12 * time.Hour},
	"step of another piece": {"", func(s *shop, now time.Time) Event {
		e := s.event(KindTick, 1, "stripped", now, Payload{})
		e.StepID = testID('x', 1)
		return e
	}, "no such step", 0},
	"from the future": {"", func(s *shop, now time.Time) Event {
		e := s.event(KindTick, 1, "stripped", now.Add(3*time.Hour), Payload{})
		e.Arrived = now
		return e
	}, "3 h in the future", 0},
	"of last year": {"", func(s *shop, now time.Time) Event {
		e := s.event(KindTick, 1, "stripped", now.AddDate(-1, 0, 0), Payload{})
		e.Arrived = now
		return e
	}, "365 d ago", 0},
	"no hours logged": {"", func(s *shop, now time.Time) Event {
		return s.event(KindLogTime, 1, "stripped", now, Payload{Hours: mins(0)})
	}, "Say how long", 0},
	"too many hours": {"", func(s *shop, now time.Time) Event {
		return s.event(KindLogTime, 1, "stripped", now, Payload{Hours: mins(24.5)})
	}, "up to 24 h", 0},
	"negative hours": {"", func(s *shop, now time.Time) Event {
		m := Minutes(-60)
		return s.event(KindTick, 1, "stripped", now, Payload{Hours: &m, Checks: s.checks("stripped")})
	}, "more than 0", 0},
	"a tick of no hours": {"", func(s *shop, now time.Time) Event {
		return s.event(KindTick, 1, "stripped", now, Payload{Hours: mins(0), Checks: s.checks("stripped")})
	}, "more than 0", 0},
	"nothing left but not ticked": {"", func(s *shop, now time.Time) Event {
		return s.event(KindStillToGo, 1, "stripped", now, Payload{StillToGo: mins(0)})
	}, "tick the step", 0},
	"still to go missing": {"", func(s *shop, now time.Time) Event {
		return s.event(KindStillToGo, 1, "stripped", now, Payload{})
	}, "how much is still to go", 0},
	"skip without a reason": {"", func(s *shop, now time.Time) Event {
		return s.event(KindSkip, 1, "stripped", now, Payload{Reason: "  "})
	}, "Say why", 0},
	"skip what is done": {"stripped", func(s *shop, now time.Time) Event {
		return s.event(KindSkip, 1, "stripped", now, Payload{Reason: "no need"})
	}, "Untick it first", 0},
	"untick below a begun step": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindUntick, 1, "stripped", now, Payload{})
	}, "A later step has begun", 0},
	"send back without a defect": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindSendBack, 1, "stripped", now, Payload{})
	}, "Name the defect", 0},
	"send back to where it has not been": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindSendBack, 1, "grounded", now, Payload{Defect: "pinholes"})
	}, "has not come as far as grounded", 0},
	"send back to what has not begun": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindSendBack, 1, "blocked", now, Payload{Defect: "pinholes"})
	}, "Blocked has not begun", 0},
	"send back to no stage": {"primed", func(s *shop, now time.Time) Event {
		return s.event(KindSendBack, 1, "gilded", now, Payload{Defect: "pinholes"})
	}, "no stage", 0},
	"send back what is untouched": {"", func(s *shop, now time.Time) Event {
		return s.event(KindSendBack, 1, "stripped", now, Payload{Defect: "pinholes"})
	}, "Nothing has been done", 0},
	"hold without a reason": {"", func(s *shop, now time.Time) Event {
		return s.event(KindHold, 1, "", now, Payload{})
	}, "Say why", 0},
	"empty note": {"", func(s *shop, now time.Time) Event {
		return s.event(KindNote, 1, "", now, Payload{Note: " \n"})
	}, "empty", 0},
	"note too long": {"", func(s *shop, now time.Time) Event {
		return s.event(KindNote, 1, "", now, Payload{Note: strings.Repeat("ä", MaxNote+1)})
	}, "longer than 2000", 0},
	"unknown kind": {"", func(s *shop, now time.Time) Event {
		return s.event("gild", 1, "", now, Payload{})
	}, "nothing that can happen", 0},
	"piece unknown": {"", func(s *shop, now time.Time) Event {
		e := s.event(KindNote, 1, "", now, Payload{Note: "x"})
		e.PieceID = testID('p', 99)
		return e
	}, "no such piece", 0},
	"hours out of order": {"", func(s *shop, now time.Time) Event {
		e := s.event(KindReplan, 1, "", now, Payload{Plan: []Plan{{Stage: "stripped", Hours: Estimate{3, 2, 1}}}})
		e.StepID = s.step(1, "stripped").ID
		return e
	}, "low to likely to high", 0},
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	for name, tt := range refusals {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, now := shopAt(t, tt.after)
			before := s.piece(1)
			out := s.Enter(tt.event(s, now))
			require.Equal(t, Refused, out.Result)
			require.Contains(t, out.Reason, tt.want)
			require.Equal(t, before, s.piece(1), "a refusal changes nothing")
			if tt.from > 0 {
				require.Equal(t, now.Add(tt.from), out.AllowedFrom)
			} else {
				require.Zero(t, out.AllowedFrom)
			}
		})
	}
}

func TestSecondTickIsToldAndKeepsItsHours(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "stripped")
	p := s.piece(1)
	p.Steps[0].DoneName = "Ada"
	out := s.tick(1, "stripped", now.Add(20*time.Minute), .5)
	require.Equal(t, Already, out.Result)
	require.Equal(t, "Ada ticked this already, 20 min before.", out.Reason)
	require.Equal(t, Minutes(90), s.step(1, "stripped").Logged)
	require.Equal(t, now, s.step(1, "stripped").DoneAt, "the first wins")
}

func TestTickAgainstAWaitNeedsAReasonAndKeepsIt(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "primed")
	e := s.event(KindTick, 1, "blocked", now.Add(time.Hour), Payload{Checks: s.checks("blocked"), Reason: " stoved at 60 °C "})
	require.Equal(t, Applied, s.Enter(e).Result)
	require.Equal(t, "stoved at 60 °C", s.step(1, "blocked").Reason)
}

func TestStartAgainstAWaitNeedsAReasonThatHoldsForTheTick(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "primed")
	early := func(k Kind, person int64, reason string) Outcome {
		e := s.event(k, 1, "blocked", now.Add(time.Hour), Payload{Reason: reason, Checks: s.checks("blocked")})
		e.PersonID = person
		return s.Enter(e)
	}
	require.Equal(t, Refused, early(KindStart, 7, " ").Result)
	require.Equal(t, Applied, early(KindStart, 7, "Lamp-cured ").Result)
	require.Equal(t, "Lamp-cured", s.step(1, "blocked").Reason)
	require.Equal(t, Applied, early(KindStart, 8, "").Result, "who takes over works for the same reason")
	require.Equal(t, "Lamp-cured", s.step(1, "blocked").Reason)
	require.Equal(t, Applied, early(KindTick, 8, "").Result)
	require.Equal(t, "Lamp-cured", s.step(1, "blocked").Reason, "the owner sees why")
	require.Equal(t, Applied, early(KindUntick, 8, "").Result)
	require.Equal(t, Refused, early(KindTick, 8, "").Result, "what is unticked begins anew")
}

func TestShutWindowOpensWithScuffedConfirmed(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "stripped")
	require.Equal(t, now.Add(day), s.piece(1).Sum.LateFrom)
	e := s.event(KindTick, 1, "primed", now.Add(30*time.Hour), Payload{Checks: append(s.checks("primed"), CheckScuffed)})
	require.Equal(t, Applied, s.Enter(e).Result)
	require.Empty(t, s.step(1, "primed").Reason)
}

// What a page offers to untick is what the rules would open again, at whatever stage the
// piece stands, in hand, skipped or sent back.
func TestMayUntickIsWhatUntickTakes(t *testing.T) {
	t.Parallel()
	s := newShop(door())
	now := monday
	hold := func(says string, want ...string) {
		t.Helper()
		var may []string
		for _, step := range s.piece(1).Steps {
			e := s.event(KindUntick, 1, "", now, Payload{})
			e.StepID = step.ID
			_, out := Apply(s.Car.State, s.piece(1), s.route, e)
			require.Equal(t, out.Result == Applied, s.piece(1).MayUntick(step), "%s: %s", says, step.Stage)
			if s.piece(1).MayUntick(step) {
				may = append(may, step.Stage)
			}
		}
		require.Equal(t, want, may, says)
	}
	hold("nothing is done")
	now = s.reach(t, 1, "blocked")
	hold("primed is the last", "primed")
	require.Equal(t, Applied, s.do(KindStart, 1, "blocked", now, Payload{Reason: "as planned"}).Result)
	hold("blocked is in hand")
	require.Equal(t, Applied, s.do(KindSkip, 1, "blocked", now, Payload{Reason: "flat as it is"}).Result)
	hold("blocked is skipped, which is no work", "primed", "blocked")
	require.Equal(t, Applied, s.do(KindSendBack, 1, "primed", now, Payload{Defect: DefectOther, Note: "rust came through"}).Result)
	hold("sent back to primed", "stripped")
	require.Equal(t, Applied, s.do(KindRemove, 1, "", now, Payload{Reason: "not ours"}).Result)
	hold("off the list")
}

func TestUntickGivesTheHoursLeftBack(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "")
	before := s.piece(1).Sum.Left
	require.Equal(t, Applied, s.tick(1, "stripped", now, 0).Result)
	require.Equal(t, before-60, s.piece(1).Sum.Left)
	require.Equal(t, Applied, s.do(KindUntick, 1, "stripped", now, Payload{}).Result)
	require.Equal(t, before, s.piece(1).Sum.Left)
	require.Equal(t, LookBare, s.piece(1).Sum.Look)
}

func TestUndoTakesBackTheHoursOfTheTick(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "stripped") // 1 h logged with the tick
	s.do(KindLogTime, 1, "stripped", now, Payload{Hours: mins(.5)})
	require.Contains(t, s.do(KindUntick, 1, "stripped", now, Payload{Hours: mins(2)}).Reason, "Only 1.5 h are logged")
	require.Equal(t, Applied, s.do(KindUntick, 1, "stripped", now, Payload{Hours: mins(1)}).Result)
	require.Equal(t, Minutes(30), s.step(1, "stripped").Logged)
	require.Equal(t, StepOpen, s.step(1, "stripped").State)
}

func TestSkippingChangesWhichWaitCounts(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "primed")
	require.Equal(t, now.Add(16*time.Hour), s.piece(1).Sum.GateFrom, "to sand")
	require.Equal(t, Applied, s.do(KindSkip, 1, "blocked", now, Payload{Reason: "die-cast, smooth"}).Result)
	require.Equal(t, now.Add(time.Hour), s.piece(1).Sum.GateFrom, "to recoat")
	require.Equal(t, now.Add(day), s.piece(1).Sum.LateFrom)
	require.Equal(t, "grounded", s.piece(1).Sum.NextStage)
}

func TestCutThroughGoesBackToGrained(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "cleared")
	require.Equal(t, Applied, s.do(KindStart, 1, "cut", now.Add(3*day), Payload{}).Result)
	p := s.piece(1)
	d, _ := FindDefect("cut-through")
	require.Equal(t, "grained", d.BackTo(p, s.route))
	before := s.roll(now)
	require.Equal(t, Applied, s.do(KindSendBack, 1, "grained", now.Add(3*day), Payload{Defect: "cut-through"}).Result)
	p = s.piece(1)
	// Grained (72) and cleared (90) are done again: 6 h = 360 shared 160 : 200. Cut
	// (120) and fitted (36) had not been done and carry on as they were.
	require.Equal(t, Minutes(160), s.step(1, "grained").Planned.Likely)
	require.Equal(t, Minutes(200), s.step(1, "cleared").Planned.Likely)
	require.True(t, s.step(1, "grained").Rework)
	require.False(t, s.step(1, "cut").Rework)
	require.Equal(t, Minutes(360+120+36), p.Sum.Left)
	require.Equal(t, "6 h to do again", p.Redoing("grained"))
	require.Equal(t, NoRework, p.Redoing("cut"))
	require.Equal(t, 2, s.step(1, "fitted").Pass)
	require.Equal(t, LookGrounded, p.Sum.Look)
	require.True(t, p.Sum.SentBack)
	after := s.roll(now.Add(3 * day))
	require.Equal(t, before.PercentDone(), after.PercentDone())
	require.Equal(t, Minutes(360), after.ReworkLeft)
}

// Rework that is still to be done when the piece goes back again is rework none the less,
// and is planned once.
func TestReworkStaysRework(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "cleared")
	back := func(stage string, hours float64) {
		t.Helper()
		require.Equal(t, Applied, s.do(KindSendBack, 1, stage, now, Payload{Stage: stage, Defect: "cut-through", Hours: mins(hours)}).Result)
	}
	rework := func() (planned, left Minutes) { r := s.roll(now); return r.ReworkPlanned, r.ReworkLeft }
	back("grained", 6)
	back("grounded", 2)
	require.True(t, s.step(1, "grounded").Rework)
	require.Equal(t, Minutes(120), s.step(1, "grounded").Planned.Likely)
	require.True(t, s.step(1, "grained").Rework)
	require.True(t, s.step(1, "cleared").Rework)
	require.False(t, s.step(1, "cut").Rework, "it has never been done")
	planned, left := rework()
	require.Equal(t, []Minutes{480, 480}, []Minutes{planned, left})

	// Found on the way, before grounded is done again: it makes grounded dearer.
	again := Event{Kind: KindSendBack, At: now, Payload: Payload{Stage: "grounded", Defect: "cut-through"}}
	require.False(t, NeedsFacts(s.piece(1), s.route, again), "that is rework")
	require.Equal(t, Applied, s.do(KindStart, 1, "grounded", now, Payload{}).Result)
	back("grounded", 1)
	planned, left = rework()
	require.Equal(t, []Minutes{540, 540}, []Minutes{planned, left})
	require.Equal(t, Applied, s.tick(1, "grounded", now, 0).Result)
	planned, left = rework()
	require.Equal(t, []Minutes{540, 360}, []Minutes{planned, left})
}

// A run of fresh clear goes "back" to the cut that was next anyway, and makes it dearer:
// nothing is done again, so nothing is rework, and the facts of the entry say so.
func TestSendBackToWhatWasNotDoneIsNoRework(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "cleared")
	planned := s.step(1, "cut").Planned.Likely
	run := Event{Kind: KindSendBack, At: now, Payload: Payload{Stage: "cut", Defect: "run"}}
	require.True(t, NeedsFacts(s.piece(1), s.route, run))
	require.Equal(t, &Facts{Sum: "the stage had not been done: no rework"}, Judge(s.piece(1), s.route, run, FilmScene{}))
	again := run
	again.Stage = "cleared"
	require.False(t, NeedsFacts(s.piece(1), s.route, again), "that is rework")

	require.Equal(t, Applied, s.do(KindSendBack, 1, "cut", now, run.Payload).Result)
	require.Equal(t, planned+30, s.step(1, "cut").Planned.Likely)
	require.False(t, s.step(1, "cut").Rework)
	require.Zero(t, s.roll(now).ReworkPlanned)
}

// A stage that was first done in a later pass is earned, and stays so when the piece
// goes back once more.
func TestWhatWasEarnedInALaterPassStaysEarned(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "ash tray", Size: SizeSmall})
	require.Equal(t, Applied, s.tick(1, "stripped", monday, 0).Result)
	require.Equal(t, Applied, s.do(KindSendBack, 1, "stripped", monday, Payload{Defect: "rust-through"}).Result)
	require.Equal(t, Applied, s.tick(1, "stripped", monday, 0).Result)
	require.Equal(t, Applied, s.tick(1, "primed", monday, 0).Result)
	before := s.roll(monday)
	require.Equal(t, Minutes(30+24), before.Earned, "stripped and primed, as first planned")
	require.Equal(t, Applied, s.do(KindSendBack, 1, "stripped", monday, Payload{Defect: "rust-through"}).Result)
	require.Equal(t, before.Earned, s.roll(monday).Earned)
	require.Equal(t, before.PercentDone(), s.roll(monday).PercentDone())
}

func TestRunOnFreshClearMakesTheCutDearer(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "cleared")
	require.Equal(t, Applied, s.do(KindSendBack, 1, "cut", now, Payload{Defect: "run"}).Result)
	require.Equal(t, Minutes(120+30), s.step(1, "cut").Planned.Likely)
	require.Equal(t, StepDone, s.step(1, "cleared").State)
}

// On a medium piece cleared is planned with 90 minutes, grained 72, grounded 30,
// blocked 120.
func TestHoursLostFollowTheStage(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "cleared")
	for _, tt := range []struct {
		defect, stage string
		want          Estimate
	}{
		{"nib", "cut", Hours3(.2, .5, 1.5)}, // the stage that a nib sends to
		{"nib", "cleared", Estimate{90, 90, 90}},
		{"nib", "grained", Estimate{162, 162, 162}},
		{"nib", "blocked", Estimate{312, 312, 312}},
		{"scratch-swelling", "blocked", Hours3(2, 4, 7)},
		{"cut-through", "cut", Estimate{}}, // next anyway: nothing is redone
		{DefectOther, "cleared", Estimate{90, 90, 90}},
		{"never heard of", "grounded", Estimate{192, 192, 192}},
		{"nib", "gilded", Estimate{}},
	} {
		p := s.piece(1)
		lost := HoursLost(p, s.route, tt.defect, tt.stage)
		require.Equal(t, tt.want, lost, "%s to %s", tt.defect, tt.stage)
		require.Equal(t, lost.Low < lost.High, LostAsUsual(p, s.route, tt.defect, tt.stage), "only the table knows a span: %s to %s", tt.defect, tt.stage)
		if _, ok := s.route.Stage(tt.stage); !ok {
			continue
		}
		after, out := Apply(CarInWork, p, s.route, s.event(KindSendBack, 1, tt.stage, now, Payload{Defect: tt.defect}))
		require.Equal(t, Applied, out.Result)
		require.InDelta(t, float64(p.Sum.Left+lost.Likely), float64(after.Sum.Left), 3, "shares are rounded")
	}
}

func TestFaultFoundLateOpensTheRepair(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "primed")
	require.Equal(t, Applied, s.do(KindSendBack, 1, "repaired", now, Payload{Defect: "rust-through"}).Result)
	// 4 h = 240: primed weighs 42, the repair as much as what is redone but at least an hour.
	require.Equal(t, Minutes(141), s.step(1, "repaired").Planned.Likely)
	require.Equal(t, Minutes(99), s.step(1, "primed").Planned.Likely)
	require.Equal(t, "repaired", s.piece(1).Sum.NextStage)
}

func TestSurveyFindsAFault(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "ash tray", Faults: []Fault{{"hole", 2}}})
	require.Equal(t, Minutes(144), s.step(1, "repaired").Planned.Likely, "two holes of 1.2 h")
	plain := Planned(Details{Size: SizeMedium}, QualityShow, s.route, StockSettings().Factors)
	require.Equal(t, Applied, s.do(KindReplan, 1, "", monday, Payload{RouteID: 1, Plan: plain}).Result)
	require.Zero(t, s.step(1, "repaired"), "no fault, no repair")
}

func TestMissingPieceStartsOnHold(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "ash tray", Faults: []Fault{{FaultMissing, 1}}})
	require.Equal(t, "piece missing: to be found", s.piece(1).Holding.Reason)
	require.Equal(t, s.piece(1).Sum.Left, s.roll(monday).Held)
}

func TestOvertypedHoursStay(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "header"})
	e := s.event(KindReplan, 1, "", monday, Payload{Plan: []Plan{{Stage: "blocked", Hours: Hours3(1, 3, 6)}}})
	e.StepID = s.step(1, "blocked").ID
	require.Equal(t, Applied, s.Enter(e).Result)
	worse := Planned(Details{Size: SizeMedium, Grade: 5}, QualityShow, s.route, StockSettings().Factors)
	require.Equal(t, Applied, s.do(KindReplan, 1, "", monday, Payload{RouteID: 1, Plan: worse}).Result)
	require.Equal(t, Minutes(180), s.step(1, "blocked").Planned.Likely, "typed")
	require.Equal(t, Minutes(108), s.step(1, "stripped").Planned.Likely, "60 × 1.8")
}

func TestRemovedPieceCountsForNothingButItsLog(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "primed")
	require.Equal(t, Applied, s.do(KindRemove, 1, "", now, Payload{}).Result)
	r := s.roll(now)
	require.Equal(t, Roll{Logged: 120, Stages: r.Stages}, r)
	require.Equal(t, Refused, s.tick(1, "blocked", now.Add(day), 1).Result)
	require.Equal(t, Applied, s.do(KindRestore, 1, "", now, Payload{}).Result)
	require.Equal(t, Minutes(468), s.roll(now).Left)
}

func TestCarsOwnEvents(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "stripped")
	require.Equal(t, "Say why the car is held: what it waits for.", s.do(KindCarHold, 0, "", now, Payload{}).Reason)
	require.Equal(t, Applied, s.do(KindCarHold, 0, "", now, Payload{Reason: "owner decides"}).Result)
	require.Equal(t, s.piece(1).Sum.Left, s.roll(now).Held)
	require.Contains(t, s.tick(1, "primed", now, 1).Reason, "on hold")
	require.Equal(t, Applied, s.do(KindLogTime, 1, "primed", now, Payload{Hours: mins(1)}).Result, "work that was done is kept")
	require.Equal(t, Applied, s.do(KindCarRelease, 0, "", now, Payload{}).Result)
	require.Contains(t, s.do(KindCarDeliver, 0, "", now, Payload{}).Reason, "1 piece is not finished")
	require.Equal(t, Applied, s.do(KindCarDeliver, 0, "", now, Payload{Reason: "goes to the upholsterer"}).Result)
	require.Contains(t, s.tick(1, "primed", now, 1).Reason, "delivered")
	require.Equal(t, Applied, s.do(KindCarReopen, 0, "", now, Payload{}).Result)
	require.Equal(t, CarInWork, s.Car.State)
}

func TestFirstWorkPutsACarInWork(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "header"})
	s.Car.State = CarSurvey
	s.do(KindNote, 1, "", monday, Payload{Note: "rusty"})
	require.Equal(t, CarSurvey, s.Car.State)
	s.tick(1, "stripped", monday, 1)
	require.Equal(t, CarInWork, s.Car.State)
}

func TestLateLogDoesNotUndoALaterWord(t *testing.T) {
	t.Parallel()
	s := newShop(Details{Name: "header"})
	s.do(KindStillToGo, 1, "stripped", monday.Add(2*time.Hour), Payload{StillToGo: mins(3)})
	s.do(KindLogTime, 1, "stripped", monday.Add(time.Hour), Payload{Hours: mins(.5)})
	require.Equal(t, Minutes(180), s.step(1, "stripped").Left)
	s.do(KindLogTime, 1, "stripped", monday.Add(3*time.Hour), Payload{Hours: mins(.5)})
	require.Equal(t, Minutes(15), s.step(1, "stripped").Left, "60 planned, 60 logged: a quarter of an hour at least")
}

func TestDefectsFitTheStage(t *testing.T) {
	t.Parallel()
	s, _ := shopAt(t, "primed")
	here, _ := DefectsAt(s.piece(1).Sum.Look)
	require.Equal(t, "rust-through", here[0].Key)
	var keys []string
	for _, stage := range BackStages(s.piece(1), s.route) {
		keys = append(keys, stage.Key)
	}
	require.Equal(t, []string{"stripped", "repaired", "primed"}, keys)
	for _, d := range Defects() {
		require.Contains(t, keys, d.BackTo(s.piece(1), s.route), d.Key)
	}
	require.Empty(t, BackStages(newShop(Details{Name: "x"}).piece(1), s.route))
}

func TestDoubles(t *testing.T) {
	t.Parallel()
	have := []Details{{Name: "Front door capping", Zone: ZoneLeft, Place: "2"}}
	add := []NewPiece{{Details: Details{Name: "front DOOR capping", Zone: ZoneLeft, Place: "2"}},
		{Details: Details{Name: "Front door capping", Zone: ZoneRight, Place: "2"}}, {Details: Details{Name: "Front door capping", Zone: ZoneLeft, Place: "3"}}}
	require.Equal(t, []string{"front DOOR capping, left"}, Doubles(have, add))
}
