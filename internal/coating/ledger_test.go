package coating_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func coat(session string, low, likely, high float64) coating.Deed {
	return coating.Deed{Coat: &coating.Coat{Layer: coating.Clear, DryUM: coating.Range{low, likely, high}, Session: session}}
}

func cut(low, likely, high float64) coating.Deed {
	return coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: coating.Range{low, likely, high}}}
}

func gauge(spot string, readings ...float64) coating.Deed {
	return coating.Deed{Gauge: &coating.Gauge{Spot: spot, Readings: readings}}
}

func baseline(spot string, readings ...float64) coating.Deed {
	return coating.Deed{Gauge: &coating.Gauge{Spot: spot, Readings: readings, Baseline: true}}
}

func on(layer coating.Layer, um float64) coating.Deed {
	return coating.Deed{Coat: &coating.Coat{Layer: layer, DryUM: coating.Exactly(um)}}
}

func strip(layer coating.Layer) coating.Deed {
	return coating.Deed{Strip: &coating.Strip{Layer: layer}}
}

func requireRange(t *testing.T, low, likely, high float64, got coating.Range) {
	t.Helper()
	require.InDelta(t, low, got.Low, .05)
	require.InDelta(t, likely, got.Likely, .05)
	require.InDelta(t, high, got.High, .05)
}

// Four coats of 28/32/36, flatted by 10/15/20, cut from P1000 (removals from memory): the
// low film less the high loss, and so on.
func TestClearLeftByCoatsAndCuts(t *testing.T) {
	t.Parallel()
	off := must(coating.LadderRemoval([]string{"P1000", "P1200", "P2000", "P3000", "compound", "polish"}))
	film := coating.Measure([]coating.Deed{
		on(coating.Ground, 16), on(coating.Grain, 3),
		coat("mon", 28, 32, 36), coat("mon", 28, 32, 36), cut(10, 15, 20),
		coat("tue", 28, 32, 36), coat("tue", 28, 32, 36), {Cut: &coating.Cut{Layer: coating.Clear, OffUM: off}},
	}, coating.UsualPolicy())
	requireRange(t, 66.5, 95.3, 122.2, film.Clear)
	require.Equal(t, film.Clear, film.Edge, "the usual policy judges the flat")
	require.InDelta(t, 16.5, film.MayGoUM, .05)
	require.False(t, film.NearFloor)
	require.False(t, film.BelowFloor)
	require.False(t, film.ByGauge)
	require.Len(t, film.Layers, 3)
	require.Equal(t, coating.Ground, film.Layers[0].Layer)
	requireRange(t, 21.8, 32.7, 45.5, film.CutAway)
	require.Len(t, film.Sessions, 2)
	requireRange(t, 56, 64, 72, film.SessionUM)
	require.False(t, film.SessionOver)
	require.Empty(t, film.LeftOut)
}

// Readings 312, 316, 314 over a baseline of 208, 211, 210: 104.3 µm clear, of which 54.3
// may go over a floor of 50 (means of three by SSPC-PA 2).
func TestGaugeOverridesTheEstimate(t *testing.T) {
	t.Parallel()
	deeds := []coating.Deed{
		baseline("A", 208, 211, 210), coat("mon", 28, 32, 36), coat("mon", 28, 32, 36), gauge("A", 312, 316, 314),
	}
	film := coating.Measure(deeds, coating.UsualPolicy())
	require.True(t, film.ByGauge)
	requireRange(t, 104.3, 104.3, 104.3, film.Clear)
	require.InDelta(t, 54.3, film.MayGoUM, .05)
	require.Equal(t, "A", film.Spots[0].Name)
	require.InDelta(t, 314, film.Spots[0].TotalUM, 1e-9)
	require.Zero(t, film.Since)

	sanded := append(slices.Clone(deeds), cut(3, 4, 6))
	require.Equal(t, coating.Since{Cut: true}, coating.Measure(sanded, coating.UsualPolicy()).Since)
	require.Equal(t, coating.Since{Cut: true}, coating.Measure(sanded, coating.UsualPolicy()).Spots[0].Since)
	require.Equal(t, coating.Since{Coated: true}, coating.Measure(append(slices.Clone(deeds), coat("tue", 28, 32, 36)), coating.UsualPolicy()).Since)
	require.Zero(t, coating.Measure(append(slices.Clone(sanded), gauge("A", 310, 312, 311)), coating.UsualPolicy()).Since, "read anew")

	film = coating.Measure(append(sanded, coat("tue", 28, 32, 36)), coating.UsualPolicy())
	require.Equal(t, coating.Since{Coated: true, Cut: true}, film.Since)
	require.True(t, film.ByGauge, "coats and cuts since are counted on top of it")
	requireRange(t, 126.3, 132.3, 137.3, film.Clear)
}

// A spread of 2 µm and three readings each: the difference has a standard deviation of
// 2·√(2/3) = 1.63, so it is good to about ±3 µm (arithmetic).
func TestGaugeErrorIsInTheRange(t *testing.T) {
	t.Parallel()
	film := coating.Measure([]coating.Deed{
		{Gauge: &coating.Gauge{Spot: "A", MeanUM: 210, N: 3, SigmaUM: 2, Baseline: true}},
		{Gauge: &coating.Gauge{Spot: "A", MeanUM: 310, N: 3, SigmaUM: 2}},
	}, coating.UsualPolicy())
	require.InDelta(t, 1.63, (film.Clear.High-film.Clear.Low)/2/1.96, .005)
	require.InDelta(t, 46.8, film.MayGoUM, .05)
}

func TestWorstSpotCounts(t *testing.T) {
	t.Parallel()
	film := coating.Measure([]coating.Deed{
		baseline("crest", 200, 200, 200), baseline("flat", 210, 210, 210), coat("mon", 100, 110, 120),
		gauge("flat", 320, 320, 320), gauge("crest", 258, 258, 258), gauge("end", 300, 300, 300),
	}, coating.UsualPolicy())
	require.InDelta(t, 58, film.Clear.Likely, 1e-9)
	require.True(t, film.NearFloor, "8 µm over the floor is within the warning of 10")
	require.Len(t, film.Spots, 3)
	require.False(t, film.Spots[2].Measured, "no baseline: the end's reading is kept but not counted")
}

func TestWhatTheLedgerLeavesOut(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		deed coating.Deed
	}{
		{"two readings only", gauge("A", 300, 301)},
		{"a reading of 3,000 µm", gauge("A", 300, 301, 3000)},
		{"a mean that is no number", coating.Deed{Gauge: &coating.Gauge{Spot: "A", MeanUM: math.NaN(), N: 3}}},
		{"a spread that is no number", coating.Deed{Gauge: &coating.Gauge{Spot: "A", MeanUM: 300, N: 3, SigmaUM: math.Inf(1)}}},
		{"a baseline after the clear", baseline("B", 200, 200, 200)},
		{"an unknown layer", coating.Deed{Coat: &coating.Coat{Layer: "varnish", DryUM: coating.Exactly(20)}}},
		{"a range upside down", cut(6, 4, 2)},
		{"a cut that is no number", cut(1, 2, math.NaN())},
		{"a negative coat", coat("mon", -1, 2, 3)},
		{"nothing", coating.Deed{}},
		{"two deeds in one", coating.Deed{Coat: coat("", 1, 2, 3).Coat, Strip: strip(coating.Grain).Strip}},
		{"an unknown strip", strip("all")},
	}
	before := []coating.Deed{baseline("A", 200, 200, 200), coat("mon", 28, 32, 36), gauge("A", 240, 240, 240)}
	want := coating.Measure(before, coating.UsualPolicy())
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			got := coating.Measure(append(before[:3:3], test.deed), coating.UsualPolicy())
			require.Equal(t, []int{3}, got.LeftOut)
			got.LeftOut, got.Spots = nil, want.Spots
			require.Equal(t, want, got)
		})
	}
}

// A piece that is grained again starts a new clear, and what the gauge read before it
// says nothing any more.
func TestStripBeginsANewPass(t *testing.T) {
	t.Parallel()
	first := []coating.Deed{
		on(coating.Ground, 16), on(coating.Grain, 3), baseline("A", 200, 200, 200),
		coat("mon", 28, 32, 36), coat("mon", 28, 32, 36), coat("mon", 28, 32, 36), cut(5, 7, 10), gauge("A", 280, 280, 280),
		strip(coating.Grain),
	}
	film := coating.Measure(first, coating.UsualPolicy())
	require.Len(t, film.Layers, 1, "the ground stands")
	require.Zero(t, film.Clear)
	require.Empty(t, film.Spots)
	require.Empty(t, film.Sessions)
	require.False(t, film.BelowFloor, "no clear is on that could be too thin")

	second := append(first, on(coating.Grain, 2), baseline("A", 203, 203, 203), coat("fri", 28, 32, 36), gauge("A", 236, 236, 236))
	film = coating.Measure(second, coating.UsualPolicy())
	require.InDelta(t, 33, film.Clear.Likely, 1e-9)
	require.Zero(t, film.CutAway)
	require.True(t, film.BelowFloor)
}

func TestAnyDeedUnderTheClearVoidsTheBaseline(t *testing.T) {
	t.Parallel()
	for _, d := range []coating.Deed{on(coating.Grain, 2), {Cut: &coating.Cut{Layer: coating.Ground, OffUM: coating.Exactly(2)}}} {
		film := coating.Measure([]coating.Deed{
			on(coating.Ground, 16), baseline("A", 200, 200, 200), d, coat("mon", 28, 32, 36), gauge("A", 300, 300, 300),
		}, coating.UsualPolicy())
		require.False(t, film.ByGauge)
		require.InDelta(t, 32, film.Clear.Likely, 1e-9)
	}
}

// 3 coats of 32 µm are 96 in one session, over the 75 that a paint maker's bulletin warns
// of; in two sessions they are not.
func TestSessionsHaveTheirLimit(t *testing.T) {
	t.Parallel()
	film := coating.Measure([]coating.Deed{coat("mon", 28, 32, 36), coat("mon", 28, 32, 36), coat("mon", 28, 32, 36)}, coating.UsualPolicy())
	require.True(t, film.SessionOver)
	require.False(t, film.Built)
	film = coating.Measure([]coating.Deed{coat("mon", 28, 32, 36), coat("mon", 28, 32, 36), coat("tue", 28, 32, 36), coat("wed", 28, 32, 36)}, coating.UsualPolicy())
	require.False(t, film.SessionOver)
	require.Len(t, film.Sessions, 3)
	require.True(t, film.Built, "the likely film of 128 has reached 100")

	free := coating.UsualPolicy()
	free.SessionLimitUM = 0
	require.False(t, coating.Measure([]coating.Deed{coat("mon", 300, 320, 360)}, free).SessionOver)
}

// An edge that got 0.6 of the film lost as much to the cut as the flat: of 128 on and 20
// off it has 56.8, not 64.8.
func TestEdgesHoldLess(t *testing.T) {
	t.Parallel()
	p := coating.UsualPolicy()
	p.EdgeFactor = .6
	deeds := []coating.Deed{coat("mon", 128, 128, 128), cut(20, 20, 20)}
	film := coating.Measure(deeds, p)
	require.InDelta(t, 108, film.Clear.Likely, 1e-9)
	require.InDelta(t, .6*128-20, film.Edge.Likely, 1e-9)
	require.InDelta(t, 6.8, film.MayGoUM, 1e-9)
	require.True(t, film.NearFloor)
	for _, unset := range []float64{0, -1, 1.5, math.NaN()} {
		p.EdgeFactor = unset
		require.InDelta(t, 58, coating.Measure(deeds, p).MayGoUM, 1e-9)
	}
}

// The warning comes before: what a planned cut would leave, with the piece as it was.
func TestAfterWarnsBeforeTheCut(t *testing.T) {
	t.Parallel()
	p := coating.UsualPolicy()
	deeds := []coating.Deed{baseline("A", 200, 200, 200), coat("mon", 28, 32, 36), coat("tue", 28, 32, 36), gauge("A", 272, 272, 272)}
	film := coating.Measure(deeds, p)
	require.InDelta(t, 22, film.MayGoUM, 1e-9)
	kept := coating.Measure(deeds, p)

	off := coating.Range{11.8, 17.7, 25.5}
	after := coating.After(film, off, p)
	require.Equal(t, kept, film, "only asked, not done")
	require.True(t, after.BelowFloor)
	require.InDelta(t, -3.5, after.MayGoUM, 1e-9)
	require.Equal(t, coating.Measure(append(deeds, cut(off.Low, off.Likely, off.High)), p), after, "as when it is done")

	require.True(t, coating.After(film, coating.Exactly(math.NaN()), p).BelowFloor, "an unreadable cut is warned of")
	require.True(t, coating.After(film, coating.Exactly(15), p).NearFloor)
	require.False(t, coating.After(film, coating.Exactly(5), p).NearFloor)
}

func TestCheckReading(t *testing.T) {
	t.Parallel()
	require.NoError(t, coating.CheckReading(0))
	require.NoError(t, coating.CheckReading(2000))
	require.EqualError(t, coating.CheckReading(3000), "A film that thick is beyond every gauge. Look at the unit and the decimal point.")
	require.Error(t, coating.CheckReading(-1))
	require.Error(t, coating.CheckReading(math.NaN()))
}

func TestCheckCoatOnWhatIsThere(t *testing.T) {
	t.Parallel()
	p := coating.UsualPolicy()
	bare := coating.Measure(nil, p)
	grounded := coating.Measure([]coating.Deed{on(coating.Ground, 16)}, p)
	cleared := coating.Measure([]coating.Deed{on(coating.Ground, 16), on(coating.Grain, 3), coat("mon", 28, 32, 36)}, p)
	for _, good := range []error{
		coating.CheckCoat(bare, coating.Primer), coating.CheckCoat(bare, coating.Ground), coating.CheckCoat(grounded, coating.Grain),
		coating.CheckCoat(grounded, coating.Clear), coating.CheckCoat(cleared, coating.Clear), coating.CheckCoat(cleared, coating.Primer),
	} {
		require.NoError(t, good)
	}
	for _, test := range []bad{
		{"grain on a piece not grounded", coating.CheckCoat(bare, coating.Grain), "layer", "No ground is on this piece, so no grain"},
		{"clear on a piece not grounded", coating.CheckCoat(bare, coating.Clear), "layer", "so no clear"},
		{"grain over clear", coating.CheckCoat(cleared, coating.Grain), "layer", "back to grained"},
		{"an unknown layer", coating.CheckCoat(grounded, "varnish"), "layer", "varnish"},
	} {
		test.require(t)
	}
}

// An instrument may send thousands of readings of one spot: their mean counts.
func TestTenThousandReadings(t *testing.T) {
	t.Parallel()
	many := make([]float64, 10_000)
	for i := range many {
		many[i] = 299 + float64(i%3)
	}
	film := coating.Measure([]coating.Deed{baseline("A", 200, 200, 200), gauge("A", many...)}, coating.UsualPolicy())
	require.InDelta(t, 100, film.Clear.Likely, .001)
}
