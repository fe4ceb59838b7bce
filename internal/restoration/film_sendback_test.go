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
	require.Equal(t, "About 4.1 mil clear, at least 4.0 mil: 2.0 mil may go down to the floor of 2.0 mil.", FilmSentence(f, s.scene.Scheme, US))

	// A pass of P1500 takes 3–4.5–6 off what the gauge said.
	s.mustDo(t, KindCutPass, 1, "cut", now, pass("P1500"))
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
	require.Empty(t, s.judge(KindReading, 1, "", now, gauge(false, 300, 301, 302)).Warnings)
}

func TestSendBackAndTheFilm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		to       string
		clear    float64 // likely, µm
		baseline bool    // a reading of 300 µm measures clear afterwards
	}{
		{"cut", 314 - 209.0 - 2.0/3, true}, // coats, pass and readings stay
		{"cleared", 0, true},               // the clear counts no more, what lies under it has not changed
		{"grained", 0, false},
		{"grounded", 0, false},
	} {
		s := newFilmShop(door())
		now := cutByGauge(t, s)
		s.mustDo(t, KindSendBack, 1, c.to, now, backTo(c.to))
		require.InDelta(t, c.clear, s.filmOf(1).Clear.Likely, 1e-9, c.to)
		s.mustDo(t, KindReading, 1, "", now.Add(time.Minute), gauge(false, 300, 300, 300))
		require.Equal(t, c.baseline, s.filmOf(1).ByGauge, c.to)
	}
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
