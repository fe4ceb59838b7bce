package restoration

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// spotted is a piece at its cut with 120–128–144 µm of clear by its coats, over a spot that read
// 210 µm before it.
func spotted(t testing.TB) (*shop, time.Time) {
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindReading, 1, "", now, gauge(true, 209, 210, 211))
	return s, s.clearFrom(t, 1, now)
}

// reads is three readings of the spot with a mean.
func reads(mean float64) Payload { return gauge(false, mean-1, mean, mean+1) }

// A mean of three readings with a spread of 2 µm over another of three is good to 1.96 ×
// 2 × √(2/3) = 3.2 µm. So a gauge that says 148 µm says no less than 144.8, and 116 no more
// than 119.2; the log gives 120–144.
func TestAReadingIsHeldAgainstTheLog(t *testing.T) {
	t.Parallel()
	const thick, thin = "measure again, or the log lacks a coat.", "measure again, or more was sanded off than is logged."
	for _, c := range []struct {
		reads float64
		units Units
		edges float64
		want  []string
	}{
		{338, Metric, 1, nil}, // 128
		{357, Metric, 1, nil}, // 147 − 3.2 = 143.8
		{358, Metric, 1, []string{"The gauge says 148 µm of clear, the log of coats gives 120–144 µm: " + thick}},
		{327, Metric, 1, nil}, // 117 + 3.2 = 120.2
		{326, Metric, 1, []string{"The gauge says 116 µm of clear, the log of coats gives 120–144 µm: " + thin}},
		{358, US, 1, []string{"The gauge says 5.83 mil of clear, the log of coats gives 4.72–5.67 mil: " + thick}},
		{326, Metric, .5, nil}, // an edge may hold 60
		{266, Metric, .5, []string{"The gauge says 56 µm of clear, the log of coats gives 60–144 µm: " + thin}}, // 59.2 at most
		{210, Metric, 1, []string{"The gauge says 0 µm of clear, the log of coats gives 120–144 µm: " + thin}},
	} {
		s, now := spotted(t)
		s.scene.Units, s.scene.Film.EdgeFactor = c.units, c.edges
		facts := s.judge(KindReading, 1, "", now, reads(c.reads))
		require.Equal(t, c.want, facts.Warnings, "%g µm", c.reads)
		require.Empty(t, append(facts.Needs, facts.Asks...), "%g µm", c.reads)
		s.mustDo(t, KindReading, 1, "", now, reads(c.reads))
		require.Equal(t, c.want, s.log[len(s.log)-1].Facts.Warnings, "it is kept")
	}
}

// Once a spot was measured its next reading is held against that one. It read 128 µm, good
// to 3.2; a pass of P800 takes 8–12–15 µm: 109.8–116–123.2.
func TestAReadingIsHeldAgainstTheOneBefore(t *testing.T) {
	t.Parallel()
	s, now := spotted(t)
	s.mustDo(t, KindReading, 1, "", now, reads(338))
	s.mustDo(t, KindCutPass, 1, "cut", now.Add(time.Hour), pass("P800"))
	now = now.Add(2 * time.Hour)
	require.Empty(t, s.judge(KindReading, 1, "", now, reads(326)).Warnings)
	require.Equal(t, []string{"The gauge says 135 µm of clear, the reading before and the log since give 110–123 µm: measure again, or the log lacks a coat."},
		s.judge(KindReading, 1, "", now, reads(345)).Warnings)
	require.Equal(t, []string{"The gauge says 90 µm of clear, the reading before and the log since give 110–123 µm: measure again, or more was sanded off than is logged."},
		s.judge(KindReading, 1, "", now, reads(300)).Warnings)
}

// What doesn't count, or can't tell, is held against nothing.
func TestAReadingThatTellsNothingIsHeldAgainstNothing(t *testing.T) {
	t.Parallel()
	s, now := spotted(t)
	other := reads(400)
	other.Reading.Spot = "by the lock"
	for _, p := range []Payload{gauge(false, 400, 401), gauge(true, 400, 401, 402), reads(100), other} {
		facts := s.judge(KindReading, 1, "", now, p)
		require.NotContains(t, slices.Concat(facts.Warnings, []string{""})[0], "The gauge says", "%+v", p.Reading)
		require.Equal(t, 1, len(facts.Warnings)+len(facts.Asks), "%+v", p.Reading)
	}
}

// A spot with a baseline and no clear logged has none.
func TestAReadingOverNoLoggedClear(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindReading, 1, "", now, gauge(true, 209, 210, 211))
	require.Empty(t, s.judge(KindReading, 1, "", now.Add(time.Hour), reads(213)).Warnings)
	require.Equal(t, []string{"The gauge says 30 µm of clear, the log of coats gives 0 µm: measure again, or the log lacks a coat."},
		s.judge(KindReading, 1, "", now.Add(time.Hour), reads(240)).Warnings)
}

// Law: a reading within what the log gives is never warned of, and one that is the spread
// and more beyond it always is.
func TestTheLogAgreesWithWhatLiesWithin(t *testing.T) {
	t.Parallel()
	s, now := spotted(t)
	rapid.Check(t, func(r *rapid.T) {
		clear := rapid.Float64Range(1, 300).Draw(r, "clear, µm")
		warned := len(s.judge(KindReading, 1, "", now, reads(210+clear)).Warnings) > 0
		if clear >= 120 && clear <= 144 {
			require.False(r, warned)
		}
		if clear < 120-3.3 || clear > 144+3.3 {
			require.True(r, warned)
		}
	})
}
