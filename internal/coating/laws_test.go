package coating_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
)

var (
	films     = rapid.Float64Range(0, 500)
	fractions = rapid.Float64Range(.001, 1)
	airs      = rapid.Float64Range(-40, 50)
	humidity  = rapid.Float64Range(.1, 100)
)

// ranges draws a valid range.
func ranges(most float64) *rapid.Generator[coating.Range] {
	return rapid.Custom(func(t *rapid.T) coating.Range {
		low := rapid.Float64Range(0, most).Draw(t, "low")
		likely := rapid.Float64Range(low, most).Draw(t, "likely")
		return coating.Range{low, likely, rapid.Float64Range(likely, most).Draw(t, "high")}
	})
}

// Law: a dry film is never above its wet one, and wet ↔ dry is a round trip.
func TestDryIsNeverAboveWet(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		wet, vs := films.Draw(t, "wet"), fractions.Draw(t, "vs")
		dry := must(coating.DryFilmUM(wet, vs))
		require.LessOrEqual(t, dry, wet)
		require.InDelta(t, wet, must(coating.WetFilmUM(dry, vs)), 1e-9*(1+wet))
	})
}

// Law: a mix lies between its parts, whatever their order, and more thinner never gives
// more solids.
func TestMixLiesBetweenItsParts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) coating.Part {
			return coating.Part{rapid.Float64Range(.001, 1e6).Draw(t, "v"), rapid.Float64Range(0, 1).Draw(t, "vs")}
		}), 1, 6).Draw(t, "parts")
		low, high := 1., 0.
		for _, p := range parts {
			low, high = min(low, p.VolumeSolids), max(high, p.VolumeSolids)
		}
		vs := must(coating.MixVolumeSolids(parts))
		require.GreaterOrEqual(t, vs, low)
		require.LessOrEqual(t, vs, high)
		require.InDelta(t, vs, must(coating.MixVolumeSolids(rapid.Permutation(parts).Draw(t, "order"))), 1e-12)

		little := rapid.Float64Range(0, 1e6).Draw(t, "thinner")
		more := little + rapid.Float64Range(0, 1e6).Draw(t, "more")
		thin := func(v float64) float64 {
			return must(coating.MixVolumeSolids(append(parts[:len(parts):len(parts)], coating.Part{v, 0})))
		}
		require.LessOrEqual(t, thin(more), thin(little)+1e-12)
	})
}

// Law: the dew point is never above the air, and damper air has a higher one.
func TestDewIsNeverAboveAir(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		air, rh, more := airs.Draw(t, "air"), humidity.Draw(t, "rh"), humidity.Draw(t, "more")
		dew := must(coating.DewPointC(air, rh))
		require.LessOrEqual(t, dew, air)
		if more >= rh {
			require.GreaterOrEqual(t, must(coating.DewPointC(air, more)), dew)
		}
	})
}

// Law: adding, taking away and lifting keep a range in order.
func TestRangesKeepTheirOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := ranges(500).Draw(t, "a"), ranges(500).Draw(t, "b")
		require.True(t, a.Plus(b).Valid())
		require.True(t, a.Times(fractions.Draw(t, "f")).Valid())
		less := a.Minus(b)
		require.LessOrEqual(t, less.Low, less.Likely)
		require.LessOrEqual(t, less.Likely, less.High)
		require.True(t, less.NotBelow(0).Valid())
		require.Equal(t, a, a.Plus(coating.Range{}))
	})
}

// deeds draws a story of a piece, valid deeds only.
func deeds(t *rapid.T) []coating.Deed {
	deed := rapid.Custom(func(t *rapid.T) coating.Deed {
		layer := rapid.SampledFrom([]coating.Layer{coating.Ground, coating.Grain, coating.Clear, coating.Clear, coating.Clear}).Draw(t, "layer")
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0:
			return coating.Deed{Strip: &coating.Strip{Layer: layer}}
		case 1, 2:
			um := rapid.Float64Range(100, 600).Draw(t, "mean")
			return coating.Deed{Gauge: &coating.Gauge{Spot: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "spot"), MeanUM: um, N: 3,
				SigmaUM: rapid.Float64Range(0, 5).Draw(t, "sigma"), Baseline: rapid.Bool().Draw(t, "baseline")}}
		case 3, 4, 5:
			return coating.Deed{Cut: &coating.Cut{Layer: layer, OffUM: ranges(20).Draw(t, "off")}}
		}
		return coating.Deed{Coat: &coating.Coat{Layer: layer, DryUM: ranges(60).Draw(t, "dry"), Session: rapid.SampledFrom([]string{"mon", "tue"}).Draw(t, "session")}}
	})
	return rapid.SliceOfN(deed, 0, 40).Draw(t, "deeds")
}

func policies(t *rapid.T) coating.Policy {
	p := coating.UsualPolicy()
	p.EdgeFactor = rapid.Float64Range(.1, 1).Draw(t, "edge")
	p.FloorUM = rapid.Float64Range(0, 80).Draw(t, "floor")
	return p
}

// Law: what may go never rises by a cut of the clear, planned or done, never falls by a
// coat of it; a planned cut leaves what a done one does; every range stays in order.
func TestCutsNeverGiveFilm(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		story, p := deeds(t), policies(t)
		film := coating.Measure(story, p)
		for _, r := range []coating.Range{film.Clear, film.Edge, film.CutAway, film.SessionUM} {
			require.True(t, r.Valid(), "%v", r)
		}
		for _, l := range film.Layers {
			require.True(t, l.On.Valid() && l.Cut.Valid() && l.Left.Valid(), "%v", l)
			require.LessOrEqual(t, l.Left.High, l.On.High)
		}
		require.LessOrEqual(t, film.Edge.Low, film.Clear.Low)
		require.False(t, film.NearFloor && film.BelowFloor)

		off := ranges(60).Draw(t, "planned")
		after := coating.After(film, off, p)
		require.LessOrEqual(t, after.MayGoUM, film.MayGoUM)
		done := append(story[:len(story):len(story)], coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: off}})
		require.Equal(t, coating.Measure(done, p), after)
		require.Equal(t, coating.Measure(story, p), film, "a plan changes nothing")

		coated := append(story[:len(story):len(story)], coating.Deed{Coat: &coating.Coat{Layer: coating.Clear, DryUM: off}})
		require.GreaterOrEqual(t, coating.Measure(coated, p).MayGoUM, film.MayGoUM)
	})
}

// Law: a finer grade of one scale has the smaller grain, and a ladder in that order has
// no step under 1.
func TestLaddersGoDown(t *testing.T) {
	t.Parallel()
	grades := []string{"P80", "P120", "P180", "P240", "P320", "P400", "P600", "P800", "P1000", "P1200", "P1500", "P2000", "P2500"}
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(grades)-2).Draw(t, "from")
		j := rapid.IntRange(i+1, len(grades)-1).Draw(t, "to")
		limit := rapid.Float64Range(1.1, 5).Draw(t, "limit")
		for _, s := range must(coating.Ladder(grades[i:j+1], limit)) {
			require.Greater(t, s.Ratio, 1.0)
			require.Equal(t, s.Ratio > limit, s.TooFar)
		}
		_, err := coating.Ladder([]string{grades[j], grades[i]}, limit)
		require.Error(t, err)
		require.True(t, coating.Coarser(grades[j], grades[i]))
		require.False(t, coating.Coarser(grades[i], grades[j]))
	})
}

// Law: the volumes to pour are never less than needed, at most a quarter more, stray
// from the ratio by no more than rounding each part to what the cup shows does, and are
// whole marks of it.
func TestPouredVolumesKeepTheRatio(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cup := rapid.SampledFrom([]struct {
			coating.Cup
			mark, slack float64
		}{{coating.CupML, 1, 10}, {coating.CupFlOz, coating.MLPerFlOz / 20, coating.MLPerFlOz / 2}}).Draw(t, "cup")
		total := rapid.Float64Range(20, 5000).Draw(t, "total")
		parts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) coating.PartSheet {
			return coating.PartSheet{Share: float64(rapid.IntRange(1, 200).Draw(t, "share")) / 10}
		}), 1, 3).Draw(t, "parts")
		thinner := coating.Thinner{Fraction: rapid.SampledFrom([]float64{0, .05, .1, .333}).Draw(t, "thinner")}
		var exact, pour float64
		split := must(coating.SplitML(total, parts, thinner, cup.Cup))
		for _, p := range split {
			exact, pour = exact+p.ExactML, pour+p.ML
			require.InDelta(t, math.Round(p.ML/cup.mark), p.ML/cup.mark, 1e-9)
		}
		require.InDelta(t, total, exact, 1e-6)
		require.GreaterOrEqual(t, pour, total-1e-5)
		marks := cup.mark * float64(len(split))
		require.LessOrEqual(t, pour, max(total*1.25, total+cup.slack)+2*cup.mark+marks)
		for _, p := range split {
			require.InDelta(t, p.ExactML*pour/exact, p.ML, marks)
		}
	})
}

// Law: a wait never grows with warmth, and the pot life neither.
func TestWarmthShortensWaits(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(coating.Examples()).Draw(t, "material")
		cold := rapid.Float64Range(-10, 50).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 60).Draw(t, "warm")
		a, _ := m.WaitsAt(cold, 0)
		b, _ := m.WaitsAt(warm, 0)
		for _, pair := range [][2]int{{a.Flash, b.Flash}, {a.Recoat, b.Recoat}, {a.MaxRecoat, b.MaxRecoat}, {a.Sand, b.Sand}, {a.Polish, b.Polish}, {a.Fit, b.Fit}} {
			require.GreaterOrEqual(t, pair[0], pair[1])
		}
		long, _ := m.PotLifeAt(cold, 0)
		short, _ := m.PotLifeAt(warm, 0)
		require.GreaterOrEqual(t, long, short)
	})
}

// Law: every mix fits into the pot life, and no mix is needless.
func TestMixesFitThePotLife(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		life, needs := rapid.Float64Range(5, 600).Draw(t, "life"), rapid.Float64Range(0, 900).Draw(t, "needs")
		plan := must(coating.Mixes(900, 50, life, needs))
		require.LessOrEqual(t, needs/float64(plan.Count), life*(1+1e-6))
		if plan.Count > 1 {
			require.Greater(t, needs/float64(plan.Count-1), life)
		}
		require.InDelta(t, plan.TotalML, plan.EachML*float64(plan.Count), 1e-6)
	})
}

// Law: a grade is read or refused in a sentence; blanks and case never matter; a size
// lies within the tables.
func FuzzGrainSizeUM(f *testing.F) {
	for _, s := range []string{"P800", " p 800 ", "800", "US 1000", "CAMI 24", "", "P", "P0800", "P800.5", "180", "Р800", "P８００", "US", "-1", "1e3", "P\x00800", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, grade string) {
		um, err := coating.GrainSizeUM(grade)
		same, sameErr := coating.GrainSizeUM(" " + grade + "\t")
		require.Equal(t, um, same)
		require.Equal(t, err == nil, sameErr == nil)
		if err != nil {
			require.Zero(t, um)
			require.NotEmpty(t, err.Error())
			require.Less(t, len(err.Error()), 400, "what was typed is shown shortened")
			return
		}
		require.GreaterOrEqual(t, um, 8.4)
		require.LessOrEqual(t, um, 1815.0)
	})
}

// What is converted comes back, and a pound and a gallon are those of the statute:
// 3.785411784 L and 453.59237 g.
func TestVOCGoesThereAndBack(t *testing.T) {
	t.Parallel()
	require.InDelta(t, 0.0083454, coating.LBPerGal(1), 5e-8)
	require.InDelta(t, 3.505, coating.LBPerGal(420), 5e-4)
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Float64Range(0, 1000).Draw(t, "g/L")
		require.InDelta(t, g, coating.GPerL(coating.LBPerGal(g)), 1e-9)
	})
}
