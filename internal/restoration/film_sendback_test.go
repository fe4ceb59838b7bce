package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func gauge(baseline bool, um ...float64) Payload {
	return Payload{Reading: &Reading{Kind: ReadFilm, Spot: "A", Baseline: baseline, FilmUM: um}}
}

// cutByGauge is a piece with a baseline of 209.67 µm, four coats, a pass of P800 and a
// reading of 314 µm: 104.33 µm of clear. It gives the hour after.
func cutByGauge(t *testing.T, s *shop) time.Time {
	t.Helper()
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindReading, 1, "", now.Add(-time.Hour), gauge(true, 208, 211, 210))
	now = s.clearFrom(t, 1, now)
	s.mustDo(t, KindCutPass, 1, "cut", now, pass("P800"))
	s.mustDo(t, KindReading, 1, "", now.Add(time.Minute), gauge(false, 312, 316, 314))
	return now.Add(2 * time.Minute)
}

func backTo(stage string) Payload {
	return Payload{Stage: stage, Defect: "run", Hours: mins(1)}
}

// σ 2 and three readings twice: 1.96 × 2 × √(2/3) = 3.20 µm of doubt each way.
func TestGaugeOverridesTheEstimate(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := cutByGauge(t, s)
	f := s.filmOf(1)
	require.True(t, f.ByGauge)
	require.InDelta(t, 314-209.0-2.0/3, f.Clear.Likely, 1e-9)
	require.InDelta(t, 3.20, f.Clear.Likely-f.Clear.Low, .005)
	require.Equal(t, "About 104 µm clear, at least 101 µm: 51 µm may go down to the floor of 50 µm.", FilmSentence(f, s.scene.Scheme, Metric))
	require.Equal(t, "About 104 µm clear, at least 101 µm: 51 µm above the floor of 50 µm.", FilmAtRest(f, s.scene.Scheme, Metric), "nobody is to cut")
	require.Equal(t, "About 4.11 mil clear, at least 3.98 mil: 2.01 mil may go down to the floor of 1.97 mil.", FilmSentence(f, s.scene.Scheme, US))

	// A pass of P1500 takes 3–4.5–6 off what the gauge said.
	s.mustDo(t, KindCutPass, 1, "cut", now, pass("P1500"))
	require.True(t, s.filmOf(1).Since.Cut)
	require.InDelta(t, 314-209.0-2.0/3-4.5, s.filmOf(1).Clear.Likely, 1e-9)
}

func TestReadingsSayWhatTheyAreWorth(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := cutByGauge(t, s)
	require.Equal(t, []string{"A spot is the mean of at least 3 readings (SSPC-PA 2); it has 2.",
		"Clear is on already, so this is no baseline and doesn't count."}, s.judge(KindReading, 1, "", now, gauge(true, 200, 201)).Warnings)
	elsewhere := gauge(false, 300, 301, 302)
	elsewhere.Reading.Spot = "B"
	require.Equal(t, []string{"The spot has no baseline from before the clear, so this doesn't tell how much of it is clear."},
		s.judge(KindReading, 1, "", now, elsewhere).Warnings)
	require.Empty(t, s.judge(KindReading, 1, "", now, gauge(false, 311, 312, 313)).Warnings)
}

func TestSendBackAndTheFilm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		to       string
		clear    float64 // likely, µm
		baseline bool    // a reading of 300 µm measures clear afterwards
	}{
		{"cut", 314 - 209.0 - 2.0/3, true},     // coats, pass and readings stay
		{"cleared", 314 - 209.0 - 2.0/3, true}, // what is left of the clear stays, what lies under it has not changed
		{"grained", 0, false},
		{"grounded", 0, false},
	} {
		s := newFilmShop(door())
		now := cutByGauge(t, s)
		s.mustDo(t, KindSendBack, 1, c.to, now, backTo(c.to))
		require.InDelta(t, c.clear, s.filmOf(1).Clear.Likely, 1e-9, c.to)
		require.Equal(t, c.clear == 0, s.filmOf(1).Gone, c.to)
		require.Equal(t, c.clear == 0, FilmSentence(s.filmOf(1), s.scene.Scheme, Metric) == "No clear is left: what was logged of it went off when the piece was sent back.", c.to)
		s.mustDo(t, KindReading, 1, "", now.Add(time.Minute), gauge(false, 300, 300, 300))
		require.Equal(t, c.baseline, s.filmOf(1).ByGauge, c.to)
	}
}

// What is sent back to be cleared again keeps what was left of its clear, 104.33 µm by
// gauge, ± 3.20. It is sanded first, and nobody may log that: perhaps nothing stays. Two
// new coats lie on it, each of 64 × 0.5 = 32 µm (30 to 36).
func TestClearThatStayedLiesUnderTheNew(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := cutByGauge(t, s)
	s.mustDo(t, KindSendBack, 1, "cleared", now, backTo("cleared"))
	f := s.filmOf(1)
	require.InDelta(t, 104.33, f.Clear.Likely, .005)
	require.InDelta(t, 104.33+3.20, f.Clear.High, .005)
	require.Zero(t, f.Clear.Low)
	require.True(t, s.piece(1).Building(s.route))
	require.Equal(t, FilmBuilding, StateOfFilm(f, s.scene.Scheme, true), "no fault while it is built")

	// A pass of P800, likely 12 µm, takes it down, and no new coat with it.
	s.mustDo(t, KindCutPass, 1, "cleared", now.Add(time.Minute), pass("P800"))
	require.InDelta(t, 104.33-12, s.filmOf(1).Clear.Likely, .005)
	once := s.filmOf(1)
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(time.Hour), clearCoat(1))
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(2*time.Hour), clearCoat(2))
	f = s.filmOf(1)
	require.InDelta(t, 2*30, f.Clear.Low, 1e-9, "only the new coats are sure")
	require.InDelta(t, once.Clear.Likely+2*32, f.Clear.Likely, 1e-9)
	require.Equal(t, "About 156 µm clear, at least 60 µm: 10 µm may go down to the floor of 50 µm. Up to 108 µm of it is clear that stayed from before.",
		FilmSentence(f, s.scene.Scheme, Metric), "104.33 − 12 + 64; 104.33 + 3.20")
	require.Len(t, f.Sessions, 2)
	require.Equal(t, coating.Stayed, f.Sessions[0].Name)
	require.False(t, f.Sessions[0].Over, "more than a session's limit, but no session")

	// A reading over the baseline, which still stands, says what there is.
	s.mustDo(t, KindReading, 1, "", now.Add(3*time.Hour), gauge(false, 360, 360, 360))
	require.InDelta(t, 360-209.0-2.0/3, s.filmOf(1).Clear.Likely, 1e-9)
	require.NotContains(t, FilmSentence(s.filmOf(1), s.scene.Scheme, Metric), "stayed", "the gauge leaves no doubt")

	// Sent back once more, it is that reading that stays.
	s.mustDo(t, KindSendBack, 1, "cleared", now.Add(4*time.Hour), backTo("cleared"))
	require.InDelta(t, 360-209.0-2.0/3, s.filmOf(1).Clear.Likely, 1e-9)
	s.mustDo(t, KindSendBack, 1, "grained", now.Add(5*time.Hour), backTo("grained"))
	require.False(t, s.filmOf(1).Known(), "what is grained again is under no clear")
}

// Four coats are asked for. What stays under a new clear counts for its tick, and what is
// grained again begins at nought.
func TestClearCoatsThatCountForTheTick(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := cutByGauge(t, s)
	count := func() int { return len(ClearCoats(s.piece(1), s.route, s.film[testID('p', 1)])) }
	require.Equal(t, 4, count())
	s.mustDo(t, KindSendBack, 1, "cleared", now, backTo("cleared"))
	require.Equal(t, 4, count(), "they stayed")
	require.Empty(t, s.judge(KindTick, 1, "cleared", now.Add(time.Minute), Payload{}).Needs)
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(time.Hour), clearCoat(1))
	require.Equal(t, 5, count())
	s.mustDo(t, KindSendBack, 1, "grained", now.Add(5*time.Hour), backTo("grained"))
	require.Zero(t, count(), "what lay under them is done anew")
}

// Without a grained stage too: what is sent back to its ground loses its baseline.
func TestBaselineOfAnUngrainedRoute(t *testing.T) {
	t.Parallel()
	stage := func(key string, look Look) Stage {
		return Stage{Key: key, Name: key, Look: look, Medium: Hours3(1, 1, 1)}
	}
	r := Route{ID: 1, Stages: []Stage{stage("grounded", LookGrounded), stage("cleared", LookCleared), stage("cut", LookCut)}}
	p := Piece{ID: testID('p', 1), Steps: []Step{
		{ID: testID('s', 1), Stage: "grounded", Position: 0, Pass: 1, State: StepSuperseded},
		{ID: testID('s', 2), Stage: "grounded", Position: 0, Pass: 2, State: StepDone},
		{ID: testID('s', 3), Stage: "cleared", Position: 1, Pass: 2, State: StepDone},
	}}
	reading := func(pass int, baseline bool, um float64) Deed {
		return Deed{Kind: KindReading, Pass: pass, Reading: &Reading{Kind: ReadFilm, Baseline: baseline, FilmUM: []float64{um, um, um}}}
	}
	coat := Deed{Kind: KindCoat, StepID: testID('s', 3), Pass: 2, Layer: coating.Clear, Film: coating.Exactly(60)}
	old := FilmOf(p, r, []Deed{reading(1, true, 100), coat, reading(2, false, 190)}, coating.Policy{})
	require.InDelta(t, 60, old.Clear.Likely, 1e-9, "by the coats")
	fresh := FilmOf(p, r, []Deed{reading(2, true, 100), coat, reading(2, false, 190)}, coating.Policy{})
	require.InDelta(t, 90, fresh.Clear.Likely, 1e-9, "by the gauge")
}
