package bench

import (
	"fmt"
	"pgregory.net/rapid"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

var (
	wednesday = time.Date(2026, 3, 25, 9, 0, 0, 0, time.UTC)
	ada       = restoration.Actor{PersonID: 7, DeviceID: 1}
)

func testID(n int) restoration.ID {
	id, err := restoration.ParseID(fmt.Sprintf("018f3b7e-0000-7000-8000-%012d", n))
	if err != nil {
		panic(err)
	}
	return id
}

// inputAt is a medium piece on the stock route whose first n steps are done, the last
// one at done. The repair step is left out: the survey named no fault.
func inputAt(t interface{ Fatalf(string, ...any) }, n int, done time.Time) pieceInput {
	route := restoration.StockRoute()
	in := pieceInput{Route: route, Actor: ada, Now: wednesday, Loc: time.UTC, NewID: func() string { return idA },
		Car:   restoration.Car{WorkOrder: "26-014", Name: "1936 Brennick Eight", State: restoration.CarInWork},
		Piece: restoration.Piece{ID: testID(1), Details: restoration.Details{Name: "Ash tray", Size: restoration.SizeMedium}}}
	open := restoration.Event{ID: testID(2), Kind: restoration.KindOpen, PieceID: in.Piece.ID, At: done, Arrived: done}
	for _, s := range route.Stages {
		if !s.Repair {
			open.Plan = append(open.Plan, restoration.Plan{Stage: s.Key, Hours: s.Medium})
		}
	}
	in.apply(t, open)
	for i := range n {
		step, _ := nextStep(in.Piece)
		stage, _ := route.Stage(step.Stage)
		e := restoration.Event{Kind: restoration.KindTick, StepID: step.ID, PersonID: 7, At: done.AddDate(0, 0, -10*(n-1-i))}
		for _, c := range append(stage.Checks, restoration.Check{Key: restoration.CheckScuffed}) {
			e.Checks = append(e.Checks, c.Key)
		}
		in.apply(t, e)
	}
	return in
}

func (in *pieceInput) apply(t interface{ Fatalf(string, ...any) }, e restoration.Event) {
	e.PieceID, e.Arrived = in.Piece.ID, e.At
	p, out := restoration.Apply(in.Car.State, in.Piece, in.Route, e)
	if out.Result != restoration.Applied {
		t.Fatalf("%s: %s", e.Kind, out.Reason)
	}
	in.Piece = p
}

func (in *pieceInput) start(t *testing.T, person int64, at time.Time) {
	step, _ := nextStep(in.Piece)
	in.apply(t, restoration.Event{Kind: restoration.KindStart, StepID: step.ID, PersonID: person, At: at})
}

func TestWhatStandsAtTheBottomOfAPiece(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		done  int
		since time.Duration // since the last tick
		alter func(*testing.T, *pieceInput)
		mode  mode
		why   string
	}{
		"fresh":     {0, time.Hour, nil, modeOpen, ""},
		"my own":    {0, time.Hour, func(t *testing.T, in *pieceInput) { in.start(t, 7, wednesday) }, modeMine, ""},
		"another's": {0, time.Hour, func(t *testing.T, in *pieceInput) { in.start(t, 8, wednesday); in.Piece.Steps[0].HandName = "Ben" }, modeOthers, "Ben has it in hand"},
		"hardens":   {5, time.Hour, nil, modeWaiting, "Not before tomorrow 08:00"},
		"is hard":   {5, 25 * time.Hour, nil, modeOpen, ""},
		"shut":      {1, 25 * time.Hour, nil, modeOpen, ""},
		"held": {0, time.Hour, func(t *testing.T, in *pieceInput) {
			in.apply(t, restoration.Event{Kind: restoration.KindHold, At: wednesday, Payload: restoration.Payload{Reason: "No acid"}})
		}, modeHeld, "On hold: No acid"},
		"car held": {0, time.Hour, func(_ *testing.T, in *pieceInput) { in.Car.State = restoration.CarOnHold }, modeStopped, "The car is on hold. The owner must release it first."},
		"finished": {8, time.Hour, nil, modeFinished, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			in := inputAt(t, c.done, wednesday.Add(-c.since))
			if c.alter != nil {
				c.alter(t, &in)
			}
			v := buildPiece(in)
			require.Equal(t, c.mode, v.Mode)
			require.Equal(t, c.why, v.Why)
			require.Equal(t, c.mode == modeFinished, v.Next == nil)
			require.Equal(t, c.done > 0, v.CanBack)
			require.Equal(t, c.mode == modeWaiting, v.HowSure != "")
		})
	}
}

func TestRecipe(t *testing.T) {
	t.Parallel()
	v := buildPiece(inputAt(t, 6, wednesday.AddDate(0, 0, -3))) // cleared: polish after 48 h
	require.Equal(t, "Cut", v.Next.Name)
	require.Equal(t, "Cleared", v.Next.NowWord)
	require.Equal(t, []string{"2 h", "1 h to 4.5 h", "hard enough to polish", ""}, []string{v.Next.Planned, v.Next.Usual, v.Next.Need, v.Next.Rest})
	require.Len(t, v.Next.Checks, 2)
	require.NotEmpty(t, v.Cautions)

	v = buildPiece(inputAt(t, 5, wednesday.AddDate(0, 0, -3)))
	require.Equal(t, "next layer after 12 h, sand after 1 d, polish after 2 d, fit after 7 d, coat within 1 d", v.Next.Rest)
	require.True(t, v.Next.Booth)
}

func TestScuffingIsAskedForOnceTheWindowShut(t *testing.T) {
	t.Parallel()
	for since, want := range map[time.Duration]bool{23 * time.Hour: false, 25 * time.Hour: true} {
		v := buildPiece(inputAt(t, 1, wednesday.Add(-since)))
		require.Equal(t, want, v.Next.scuffed() != nil, since)
	}
}

func TestHoursAreFilledIn(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		started time.Duration // before now; 0 not at all
		stopped time.Duration // before now; 0 it runs
		logged  restoration.Minutes
		want    int
		timer   bool
	}{
		"the plan of an hour":             {0, 0, 0, 60, false},
		"what is left of the plan":        {0, 0, 30, 30, false},
		"never under a quarter":           {0, 0, 200, 15, false},
		"the timer, in quarters":          {100 * time.Minute, 0, 0, 105, true},
		"just started":                    {time.Minute, 0, 0, 15, true},
		"what a stopped one shows":        {100 * time.Minute, 55 * time.Minute, 0, 45, false},
		"what others logged is no matter": {100 * time.Minute, 0, 240, 105, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			in := inputAt(t, 0, wednesday.AddDate(0, 0, -1))
			if step, _ := nextStep(in.Piece); c.started > 0 {
				timer := restoration.Timer{StepID: step.ID, Running: wednesday.Add(-c.started)}
				if c.stopped > 0 {
					timer = restoration.Timer{StepID: step.ID, Spans: timer.Until(wednesday.Add(-c.stopped))}
				}
				in.Timers = []restoration.Timer{timer}
			}
			if c.logged > 0 {
				step, _ := nextStep(in.Piece)
				m := c.logged
				in.apply(t, restoration.Event{Kind: restoration.KindLogTime, StepID: step.ID, PersonID: 9, At: wednesday.Add(-time.Hour), Payload: restoration.Payload{Hours: &m}})
			}
			got := buildPiece(in).Next.Hours
			require.Equal(t, c.want, got.Minutes)
			require.Equal(t, c.timer, got.Started != "")
		})
	}
}

func TestQuarter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.IntRange(-100, 10_000).Draw(t, "minutes")
		q := quarter(restoration.Minutes(m))
		require.Zero(t, q%15)
		require.GreaterOrEqual(t, q, 15)
		if m >= 15 {
			require.InDelta(t, m, q, 7.5)
		}
	})
}

func TestWhoGrainedTheCar(t *testing.T) {
	t.Parallel()
	by := func(n int, person int64, name string) restoration.Piece {
		return restoration.Piece{ID: testID(n), Steps: []restoration.Step{{Stage: "grained", State: restoration.StepDone, DoneBy: person, DoneName: name}}}
	}
	gone := by(14, 9, "Cy")
	gone.Removed = wednesday
	for name, c := range map[string]struct {
		others []restoration.Piece
		want   string
		kind   ui.NoticeKind
	}{
		"nobody yet":    {nil, "", ""},
		"only this one": {[]restoration.Piece{by(1, 8, "Ben")}, "", ""},
		"I did":         {[]restoration.Piece{by(11, 7, "Ada"), by(12, 7, "Ada")}, "Grained on this car so far: Ada 2.", ui.NoticeInfo},
		"another did": {[]restoration.Piece{by(11, 8, "Ben"), by(12, 8, "Ben"), by(13, 9, "Cy"), gone},
			"Grained on this car so far: Ben 2, Cy 1. One hand grains a whole car: ask before you begin.", ui.NoticeCaution},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			in := inputAt(t, 4, wednesday.AddDate(0, 0, -2))
			in.Others = c.others
			got := grainHint(in, "grained")
			require.Equal(t, c.want, got.Text)
			require.Equal(t, c.kind, got.Kind)
		})
	}
}

func TestTouchAgain(t *testing.T) {
	t.Parallel()
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	for at, want := range map[string]string{
		"2026-03-25T11:30:00Z": "Not before 12:30",
		"2026-03-26T06:40:00Z": "Not before tomorrow 07:40",
		"2026-03-27T06:40:00Z": "Not before Fri 07:40",
		"2026-03-29T06:40:00Z": "Not before Sun 08:40", // the clocks went forward in the night
		"2026-04-09T06:40:00Z": "Not before 9 Apr 08:40",
	} {
		instant, err := time.Parse(time.RFC3339, at)
		require.NoError(t, err)
		require.Equal(t, want, notBeforeLong(instant, wednesday, berlin))
	}
}

func TestDefectsThatFitTheLookComeFirst(t *testing.T) {
	t.Parallel()
	for _, look := range restoration.Looks() {
		here, others := restoration.DefectsAt(look)
		require.Equal(t, len(restoration.Defects()), len(here)+len(others))
		if tiles := defectTiles("/p", here); look == restoration.LookCut {
			require.Equal(t, "scratch-swelling", tiles[0].Key)
			require.Equal(t, "/p/back?defect=die-back", tiles[3].Href)
		}
	}
}

// Who has the next stage in hand finds its defects as well.
func TestDefectsOfTheStageInHandComeFirst(t *testing.T) {
	t.Parallel()
	in := inputAt(t, 6, wednesday.AddDate(0, 0, -9))
	has := func(in pieceInput, key string) bool {
		return slices.ContainsFunc(buildAct("back", in, nil, nil).Defects.Here, func(d defectTile) bool { return d.Key == key })
	}
	require.True(t, has(in, "orange-peel"), "on the clear that is there")
	require.False(t, has(in, "cut-through"), "nobody has cut it yet")
	step := slices.IndexFunc(in.Piece.Steps, func(s restoration.Step) bool { return s.ID == in.Piece.Sum.NextStep })
	in.Piece.Steps[step].State = restoration.StepInHand
	require.True(t, has(in, "cut-through"))
	require.True(t, has(in, "orange-peel"))
}

func TestSendBackSuggestsTheStage(t *testing.T) {
	t.Parallel()
	v := buildAct("back", inputAt(t, 7, wednesday.AddDate(0, 0, -9)), map[string][]string{"defect": {"cut-through"}}, nil)
	require.Equal(t, "grained", v.Stages.Value)
	require.True(t, v.Hours.Blank, "each stage has its own hours")
	var words []string
	for _, o := range v.Stages.Options {
		words = append(words, o.Word)
	}
	require.Equal(t, "usually 6 h", v.Stages.Options[2].Hint)
	require.Equal(t, []string{"Cut", "Cleared", "Grained", "Grounded", "Blocked", "Primed", "Stripped"}, words, "the latest first; repair was not planned")
	v = buildAct("back", inputAt(t, 2, wednesday.AddDate(0, 0, -9)), map[string][]string{"defect": {"rust-through"}}, nil)
	require.Equal(t, "repaired", v.Stages.Value, "a fault that shows late opens the repair step")
}
