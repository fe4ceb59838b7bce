package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func door() Details { return Details{Name: "door moulding", Zone: ZoneLeft, Set: "doors", Grade: 3} }

// Four coats of 30–32–36 µm are 120–128–144. A pass of P800 takes 8–12–15:
//
//	passes   low   above the floor of 50
//	3         75   25   another (15) stays above
//	4         60   10   another could go to 45: warned, while it is still time
//	5         45   −5   under the floor
func TestCutThroughIsWarnedAtThePassBefore(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.cleared(t, 1)
	require.Equal(t, coating.Range{Low: 120, Likely: 128, High: 144}, s.filmOf(1).Clear)

	warnings := [][]string{nil, nil, nil,
		{"After this pass only 10 µm may still go: another like it could go under the floor. Measure first."},
		{"After this pass as little as 45 µm of clear may be left, under the floor of 50 µm. Stop and measure."},
	}
	for i, want := range warnings {
		facts := s.judge(KindCutPass, 1, "cut", now, pass("P800"))
		require.Equal(t, want, facts.Warnings, "pass %d", i+1)
		require.Empty(t, facts.Needs)
		require.Equal(t, i == 4, facts.UnderFloor)
		s.mustDo(t, KindCutPass, 1, "cut", now, pass("P800"))
		now = now.Add(time.Minute)
	}
	film := s.filmOf(1)
	require.Equal(t, coating.Range{Low: 45, Likely: 68, High: 104}, film.Clear, "120 − 5 × 15, 128 − 5 × 12, 144 − 5 × 8")
	require.InDelta(t, -5, film.MayGoUM, 1e-9)

	out := s.tick(1, "cut", now, 0)
	require.Equal(t, Refused, out.Result)
	require.Equal(t, "As little as 45 µm of clear may be left, under the floor of 50 µm. Put it right, or say why it is so.", out.Reason)
	s.mustDo(t, KindTick, 1, "cut", now, Payload{Checks: s.checks("cut"), Reason: "the owner wants the old dent out"})
	require.Equal(t, "the owner wants the old dent out", s.step(1, "cut").Reason)
}

// One coat is 30 at least. Flatting it takes up to 15 a pass: the first leaves 15, far
// under the floor, which is for the end; the second may leave nothing.
func TestFlattingBetweenSessionsIsNoCut(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", now, clearCoat(1))
	now = now.Add(20 * time.Hour)
	require.Empty(t, s.judge(KindCutPass, 1, "cleared", now, pass("P800")).Warnings)
	s.mustDo(t, KindCutPass, 1, "cleared", now, pass("P800"))
	require.Equal(t, []string{"After this pass nothing of the clear may be left: the grain comes next. Stop and measure."},
		s.judge(KindCutPass, 1, "cleared", now.Add(time.Minute), pass("P800")).Warnings)
}

func TestEdgesHoldLessThanTheFlat(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	s.scene.Film.EdgeFactor = 0.6
	now := s.cleared(t, 1)
	// 0.6 × 120 = 72 at the edge; a pass takes up to 15 off flat and edge alike.
	require.Equal(t, []string{"After this pass only 7 µm may still go. Stop and measure."},
		s.judge(KindCutPass, 1, "cut", now, pass("P800")).Warnings)
	s.mustDo(t, KindCutPass, 1, "cut", now, pass("P800"))
	s.mustDo(t, KindCutPass, 1, "cut", now, pass("P1000"))
	// Flat 120 − 15 − 10 = 95; edge 72 − 25 = 47.
	require.Equal(t, "About 109 µm clear, perhaps only 47 µm at the edges: nothing may go, the floor is 50 µm.",
		FilmSentence(s.filmOf(1), s.scene.Scheme, Metric))
}

func TestClearShortOfItsCoats(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	for i := range 3 {
		s.mustDo(t, KindCoat, 1, "cleared", now.Add(time.Duration(i)*7*time.Hour), clearCoat(i+1))
	}
	now = now.Add(20 * time.Hour)
	out := s.tick(1, "cleared", now.Add(time.Hour), 0)
	require.Equal(t, Refused, out.Result)
	require.Equal(t, "The car's finish asks for 4 coats of clear, 3 logged so far. Put it right, or say why it is so.", out.Reason)
	facts := s.judge(KindTick, 1, "cleared", now.Add(time.Hour), Payload{})
	require.Equal(t, []string{"About 96 µm of clear, 120 µm are wanted."}, facts.Warnings, "3 × 32")
	require.Equal(t, "About 96 µm clear, at least 90 µm: 40 µm may go down to the floor of 50 µm.", facts.Sum)
	s.mustDo(t, KindTick, 1, "cleared", now.Add(time.Hour), Payload{Checks: s.checks("cleared"), Reason: "gauge says enough"})

	s = newFilmShop(door())
	s.scene.Agreed = false
	now = s.reach(t, 1, "cleared")
	require.Equal(t, Applied, s.tick(1, "cleared", now, 0).Result, "no scheme is agreed: nothing is asked")
}

// The example clear: recoat 600 min at 20 °C; at 10 °C twice that.
func TestWaitsComeFromTheCoatThatWasSprayed(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	s.scene.Agreed = false
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", now, clearCoat(1))
	require.Equal(t, StepInHand, s.step(1, "cleared").State)
	s.mustDo(t, KindTick, 1, "cleared", now.Add(2*time.Hour), Payload{Checks: s.checks("cleared")})
	require.Equal(t, now.Add(48*time.Hour), s.piece(1).Sum.GateFrom, "polish 2880 min from the coat, not from the tick")

	cold := clearCoat(2)
	cold.Coat.Air = &AirWords{SurfaceC: number(10)}
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(3*time.Hour), cold)
	require.Equal(t, now.Add(99*time.Hour), s.piece(1).Sum.GateFrom, "a coat after the tick moves the wait: 3 h + 2 × 48 h")
	require.True(t, s.judge(KindCoat, 1, "cleared", now.Add(4*time.Hour), cold).Estimated)

	late := clearCoat(1)
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(time.Hour), late)
	require.Equal(t, now.Add(99*time.Hour), s.piece(1).Sum.GateFrom, "one that is entered late leaves it")

	film := s.film[testID('p', 1)]
	s.mustDo(t, KindStrike, 1, "", now.Add(5*time.Hour), Payload{Ref: film[2].EventID, Reason: "wrong piece"})
	require.Equal(t, now.Add(49*time.Hour), s.piece(1).Sum.GateFrom, "struck out, the coat before counts again")
	s.mustDo(t, KindStrike, 1, "", now.Add(5*time.Hour), Payload{Ref: film[1].EventID, Reason: "wrong piece"})
	s.mustDo(t, KindStrike, 1, "", now.Add(5*time.Hour), Payload{Ref: film[0].EventID, Reason: "wrong piece"})
	require.Nil(t, s.step(1, "cleared").CoatWaits)
	require.Equal(t, now.Add(50*time.Hour), s.piece(1).Sum.GateFrom, "without coats the route's wait counts from the tick")
}

func TestStrikeIsSaidWhy(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", now, clearCoat(1))
	ref := s.film[testID('p', 1)][0].EventID
	for _, c := range []struct {
		p    Payload
		want string
	}{
		{Payload{Reason: "wrong"}, "Say which entry was wrong."},
		{Payload{Ref: ref}, "Say why the entry is struck out."},
		{Payload{Ref: testID('x', 1), Reason: "wrong"}, "The piece has no such entry of its film, or it was struck out already. Open the piece again."},
	} {
		out := s.do(KindStrike, 1, "", now, c.p)
		require.Equal(t, Outcome{Result: Refused, Reason: c.want}, out)
	}
	s.mustDo(t, KindStrike, 1, "", now, Payload{Ref: ref, Reason: "wrong"})
	require.Equal(t, Refused, s.do(KindStrike, 1, "", now, Payload{Ref: ref, Reason: "again"}).Result)
	require.Empty(t, s.film[testID('p', 1)])
}

func TestCoatTwiceWithTheSameID(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	e := s.judged(s.event(KindCoat, 1, "cleared", now, clearCoat(1)))
	require.Equal(t, Applied, s.Enter(e).Result)
	before := s.piece(1)
	require.Equal(t, Applied, s.Enter(e).Result)
	require.Equal(t, before, s.piece(1))
	require.InDelta(t, 32, s.filmOf(1).Clear.Likely, 1e-9)
}

// The window of the clear shuts 1440 min after a coat.
func TestShutRecoatWindow(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", now, clearCoat(1))
	late := now.Add(30 * time.Hour)
	out := s.do(KindCoat, 1, "cleared", late, clearCoat(2))
	require.Equal(t, Refused, out.Result)
	require.Equal(t, "The recoat window of the coat before shut 6 h ago and no sanding is logged since. Put it right, or say why it is so.", out.Reason)

	scuffed := clearCoat(2)
	scuffed.Checks = []string{CheckScuffed}
	require.Empty(t, s.judge(KindCoat, 1, "cleared", late, scuffed).Needs, "somebody says that it is scuffed")
	s.mustDo(t, KindCutPass, 1, "cleared", late.Add(-time.Hour), pass("P800"))
	s.mustDo(t, KindCoat, 1, "cleared", late, clearCoat(2))
	// 2 × 32 on, 12 off between them.
	require.InDelta(t, 52, s.filmOf(1).Clear.Likely, 1e-9)
}

// Grained was ticked the day before, at 09:00, and asks for 24 h.
func TestFirstCoatLooksAtTheStepUnderIt(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	early := now.Add(-4 * time.Hour)
	require.Equal(t, []string{"It still hardened after grained: a coat was allowed 4 h later."},
		s.judge(KindCoat, 1, "cleared", early, clearCoat(1)).Needs)
	said := clearCoat(1)
	said.Reason = "warmed with lamps"
	s.mustDo(t, KindCoat, 1, "cleared", early, said)

	// Stripped steel is primed within 24 h.
	s = newFilmShop(door())
	now = s.reach(t, 1, "primed").Add(2 * time.Hour)
	primer := Payload{Coat: &Coat{Number: 1}}
	require.Contains(t, s.judge(KindCoat, 1, "primed", now, primer).Needs,
		"The recoat window of stripped shut 2 h before this coat, and no sanding is logged since.")
	primer.Checks = []string{CheckScuffed}
	require.Len(t, s.judge(KindCoat, 1, "primed", now, primer).Needs, 1, "what is left is the unknown material")
}

// A step whose coats came in time is ticked later without a question.
func TestTickAfterTheWindowOfCoatsThatCameInTime(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "primed")
	primer := Payload{Coat: &Coat{Number: 1}, Reason: "borrowed primer"}
	s.mustDo(t, KindCoat, 1, "primed", now.Add(-time.Hour), primer)
	require.Equal(t, Applied, s.tick(1, "primed", now.Add(5*time.Hour), 0).Result)
}

// The spot read 210 before the clear: 160 now would be less film than there was.
func TestAReadingUnderItsBaselineIsAskedAbout(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	gauge := func(um float64, baseline bool) Payload {
		return Payload{Reading: &Reading{Kind: ReadFilm, Spot: "crest", Baseline: baseline, FilmUM: []float64{um, um, um}}}
	}
	s.mustDo(t, KindReading, 1, "", now, gauge(210, true))
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(time.Minute), clearCoat(1))
	later := now.Add(24 * time.Hour)
	require.Empty(t, s.judge(KindReading, 1, "", later, gauge(240, false)).Asks)
	require.Equal(t, []string{"The spot read 210 µm before the clear, and less now. A gauge reads all film over the steel, not the clear alone."},
		s.judge(KindReading, 1, "", later, gauge(160, false)).Asks)
}
