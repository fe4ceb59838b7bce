package coating_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func mix(p ...coating.Part) (float64, error) { return coating.MixVolumeSolids(p) }

// workedFilms are the check values of the trade that are the coating's. Each name ends
// with its mark.
var workedFilms = []struct {
	name      string
	got       func() (float64, error)
	want      float64
	tolerance float64
}{
	{"60 µm wet at 52 % (definition)", func() (float64, error) { return coating.DryFilmUM(60, .52) }, 31.2, 1e-9},
	{"25 µm dry at 40 % (definition)", func() (float64, error) { return coating.WetFilmUM(25, .40) }, 62.5, 1e-9},
	{"4:1:1 of 58, 75 and 0 % (definition)", func() (float64, error) {
		return mix(coating.Part{4, .58}, coating.Part{1, .75}, coating.Part{1, 0})
	}, .5117, .00005},
	{"45 % with 10 % thinner (definition)", func() (float64, error) { return mix(coating.Part{1, .45}, coating.Part{.1, 0}) }, .4091, .00005},
	{"cover of 39 % at 25 µm (printed epoxy sheet)", func() (float64, error) { return coating.CoverageM2PerL(.39, 25) }, 15.6, 1e-9},
	{"cover of 52 % at 1.2 mil in ft²/gal (makers' constant 1604)", func() (float64, error) {
		m2, err := coating.CoverageM2PerL(.52, coating.UMFromMil(1.2))
		return coating.FT2PerGal(m2), err
	}, 695, .5},
	{"2.0 mil in µm (definition)", func() (float64, error) { return coating.UMFromMil(2), nil }, 50.8, 1e-9},
	{"2.6 m², 60 µm, 2 coats at 30 %, waste 10 %, 50 mL lost (common practice, no source)", func() (float64, error) {
		return coating.ReadyToSprayML(coating.Need{AreaM2: 2.6, WetUM: 60, Coats: 2, Transfer: .30, Waste: .10, FixedML: 50})
	}, 1194, 1e-9},
	{"35 mm piece, 120 mm fan at 65 % (common practice, no source)", func() (float64, error) { return coating.ForSlimPiece(.65, 35, 120) }, .190, .0005},
	{"3.24 g of foil at 43.2 g/m² (arithmetic)", func() (float64, error) { return coating.FoilAreaM2(3.24, 43.2) }, .075, 1e-9},
	{"dew point at 20 °C, 60 % (Magnus, constants of J. Appl. Meteorol. 35:601, 1996)", func() (float64, error) { return coating.DewPointC(20, 60) }, 12.0, .05},
	{"dew point at 25 °C, 50 % (same)", func() (float64, error) { return coating.DewPointC(25, 50) }, 13.86, .005},
	{"24 h at 20 °C, in the cold of 12 °C (factor 2 per 10 °C, common practice, no source)", func() (float64, error) {
		return 24 * coating.Stretch(20, 12), nil
	}, 41.8, .05},
	{"8 h at 22 °C and 16 h at 12 °C (same)", func() (float64, error) {
		return coating.CuredHours([]coating.TempSpan{{8, 22}, {16, 12}}), nil
	}, 18.4, .05},
}

func TestWorkedFilms(t *testing.T) {
	t.Parallel()
	for _, test := range workedFilms {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			got, err := test.got()
			require.NoError(t, err)
			require.InDelta(t, test.want, got, test.tolerance)
		})
	}
}

// HVLP put 33 % more film on per mass of paint than a conventional gun (Am. Ind. Hyg.
// Assoc. J. 57:304–310, 1996): so it needs 75.2 % of the paint.
func TestBetterTransferNeedsLessPaint(t *testing.T) {
	t.Parallel()
	old := coating.Need{AreaM2: 1, WetUM: 60, Coats: 2, Transfer: .30}
	hvlp := old
	hvlp.Transfer *= 1.33
	require.InDelta(t, .752, must(coating.ReadyToSprayML(hvlp))/must(coating.ReadyToSprayML(old)), .0005)
}

// A lacquer of 10 % leaves 5 µm of 50 wet: 20 coats build 100 µm, 30 build 150. A book on
// finishing of the 1920s says 14 to 20 coats; restorers report 7 to 24.
//
// Some fifty thin coats for the build of a handful of catalysed ones is common practice,
// no source. It holds where the coats are thin and sanded between: a catalysed clear of
// 54 % leaves 32 µm of 60 wet, so 4 coats build 130 µm; lacquer thinned to 8 % and
// sprayed 45 µm wet leaves 3.6 µm, of which sanding between takes 1 µm: 50 coats. Without
// sanding it takes 36, and at 10 % of 50 µm only 26. So fifty is the upper end, not the rule.
func TestLacquerAgainstCatalysedClear(t *testing.T) {
	t.Parallel()
	require.Equal(t, 20, must(coating.CoatsFor(100, 50, .10)))
	require.Equal(t, 30, must(coating.CoatsFor(150, 50, .10)))

	const build = 129.6
	require.Equal(t, 4, must(coating.CoatsFor(build, 60, .54)))
	thin := must(coating.DryFilmUM(45, .08))
	require.InDelta(t, 3.6, thin, 1e-9)
	require.Equal(t, 50, must(coating.CoatsFor(build, thin-1, 1)), "sanded between: 2.6 µm stay of each")
	require.Equal(t, 36, must(coating.CoatsFor(build, 45, .08)))
	require.Equal(t, 26, must(coating.CoatsFor(build, 50, .10)))
}

// Ways of stating a ratio: thinner as a part, of A+B, of A (arithmetic).
func TestWorkedSplits(t *testing.T) {
	t.Parallel()
	epoxy := []coating.PartSheet{{Name: "base", Share: 4}, {Name: "hardener", Share: 1}, {Name: "thinner", Share: 1}}
	clear := []coating.PartSheet{{Name: "clear", Share: 3}, {Name: "hardener", Share: 1}}
	tests := []struct {
		name    string
		total   float64
		parts   []coating.PartSheet
		thinner coating.Thinner
		pour    []float64
		exact   []float64
	}{
		{"900 at 4:1:1", 900, epoxy, coating.Thinner{}, []float64{600, 150, 150}, []float64{600, 150, 150}},
		{"880 at 3:1 + 10 % of A+B", 880, clear, coating.Thinner{"thinner", .10, coating.OfParts}, []float64{600, 200, 80}, []float64{600, 200, 80}},
		{"unsaid, thinner is of A+B", 880, clear, coating.Thinner{Fraction: .10}, []float64{600, 200, 80}, []float64{600, 200, 80}},
		{"860 at 3:1 + 10 % of A", 860, clear, coating.Thinner{"thinner", .10, coating.OfA}, []float64{600, 200, 60}, []float64{600, 200, 60}},
		{"893 goes up to steps of 10", 893, epoxy, coating.Thinner{}, []float64{600, 150, 150}, []float64{595.33, 148.83, 148.83}},
		{"130 takes steps of 1", 130, epoxy, coating.Thinner{}, []float64{88, 22, 22}, []float64{86.67, 21.67, 21.67}},
		{"a ratio that no step keeps", 100, []coating.PartSheet{{Share: 100}, {Share: 47.3}}, coating.Thinner{}, []float64{68, 32}, []float64{67.89, 32.11}},
		{"little of much clear takes more, to keep the hardener right", 20, []coating.PartSheet{{Share: 7}, {Share: 1}, {Share: 1}}, coating.Thinner{}, []float64{21, 3, 3}, []float64{15.56, 2.22, 2.22}},
		{"one part", 333, []coating.PartSheet{{Share: 1}}, coating.Thinner{}, []float64{340}, []float64{333}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			got, err := coating.SplitML(test.total, test.parts, test.thinner, coating.CupML)
			require.NoError(t, err)
			require.Len(t, got, len(test.pour))
			for i, p := range got {
				require.Equal(t, test.pour[i], p.ML, "pour of part %d", i)
				require.InDelta(t, test.exact[i], p.ExactML, .005, "exact of part %d", i)
			}
		})
	}
}

// The same ratios in a cup of US fluid ounces, 29.5735295625 mL each (231 cubic inches ÷
// 128): 900 mL are 30.43 fl oz, and 51 times six shares of ⅒ are 30.6.
func TestWorkedSplitsInFluidOunces(t *testing.T) {
	t.Parallel()
	const oz = 29.5735295625
	require.InDelta(t, oz, coating.MLPerFlOz, 1e-12)
	tests := []struct {
		name    string
		ml      float64
		parts   []float64
		thinner float64
		pour    []float64 // fl oz
	}{
		{"900 mL at 4:1:1 goes up to tenths", 900, []float64{4, 1, 1}, 0, []float64{20.4, 5.1, 5.1}},
		{"whole ounces stay", 30 * oz, []float64{4, 1, 1}, 0, []float64{20, 5, 5}},
		{"130 mL at 4:1:1 takes twentieths", 130, []float64{4, 1, 1}, 0, []float64{3, 0.75, 0.75}},
		{"3:1 + 10 % in tenths", 8.8 * oz, []float64{3, 1}, .10, []float64{6, 2, 0.8}},
		{"a ratio that no step keeps", 4 * oz, []float64{100, 47.3}, 0, []float64{2.7, 1.3}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			var parts []coating.PartSheet
			for _, s := range test.parts {
				parts = append(parts, coating.PartSheet{Share: s})
			}
			got := must(coating.SplitML(test.ml, parts, coating.Thinner{Fraction: test.thinner}, coating.CupFlOz))
			require.Len(t, got, len(test.pour))
			for i, p := range got {
				require.InDelta(t, test.pour[i], p.ML/oz, 1e-9, "pour of part %d", i)
			}
		})
	}
}

func TestMixesWithinPotLife(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name           string
		potLife, needs float64
		want           coating.MixPlan
	}{
		{"one is enough", 120, 90, coating.MixPlan{1, 1194, 1194}},
		{"just enough", 120, 120, coating.MixPlan{1, 1194, 1194}},
		{"three, each with its own loss", 60, 130, coating.MixPlan{3, 1294. / 3, 1294}},
		{"a material that keeps", 0, 900, coating.MixPlan{1, 1194, 1194}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			got, err := coating.Mixes(1194, 50, test.potLife, test.needs)
			require.NoError(t, err)
			require.Equal(t, test.want, got)
		})
	}
}

// Steps of a ladder by ISO 6344 sizes against the limit of 2 (common practice, no source).
func TestWorkedLadders(t *testing.T) {
	t.Parallel()
	steps := must(coating.Ladder([]string{"P800", "P1500", "P2500"}, coating.LadderLimit))
	require.InDelta(t, 1.73, steps[0].Ratio, .005)
	require.False(t, steps[0].TooFar)
	steps = must(coating.Ladder([]string{"p 800", "P2500"}, coating.LadderLimit))
	require.InDelta(t, 2.60, steps[0].Ratio, .005)
	require.True(t, steps[0].TooFar)

	require.True(t, must(coating.Ladder([]string{"P800", "compound"}, 2))[0].TooFar, "21.8 ÷ 8.4 of the finest paper in print is 2.6")
	require.False(t, must(coating.Ladder([]string{"P2000", "polish"}, 2))[0].TooFar)
	toPolish := must(coating.Ladder([]string{"P2000", "P3000", "compound", "polish"}, 2))
	require.Len(t, toPolish, 3)
	require.Zero(t, toPolish[0].Ratio, "no size of P3000 was found in print")
	finest := must(coating.Ladder([]string{"P2500", "P3000", "P5000", "compound"}, 2))
	require.Equal(t, []bool{true, true, false}, []bool{finest[0].Unjudged, finest[1].Unjudged, finest[2].Unjudged}, "the tables end at P2500")
	require.Equal(t, []bool{false, false, false}, []bool{finest[0].TooFar, finest[1].TooFar, finest[2].TooFar})
	_, err := coating.Ladder([]string{"P5000", "P3000"}, 2)
	require.ErrorContains(t, err, "goes back to a coarser grade")
	mixed := must(coating.Ladder([]string{"US 600", "P2000"}, 2))
	require.InDelta(t, 1.553, mixed[0].Ratio, .005, "US 600 is near P1200")
}

// What a full ladder takes off, from memory: about 18 µm from P1000 and 30 from P800.
// By the mean grains of ISO 6344: P800 21.8 µm, P1000 18.3, P1500 12.6, P2000 10.3, P2500
// 8.4; the US 1000 has 10.3 as well, the US 600 has 16.
func TestCoarserGrades(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		before, grade string
		want          bool
	}{
		{"P1500", "P800", true},
		{"P1000", "P800", true},
		{"P2500", "P2000", true},
		{"P800", "P1500", false},
		{"P1500", "P1500", false},
		{"P2000", "US 1000", false}, // one grain
		{"P1500", "US 600", true},
		{"US 600", "P1500", false},
		{"P3000", "P2500", true}, // no table prints the grain of P3000
		{"P5000", "P3000", true},
		{"P3000", "P5000", false},
		{"P2500", "P3000", false},
		{"compound", "P2000", true},
		{"polish", "P3000", true},
		{"P3000", "compound", false},
		{"polish", "compound", false},
		{"compound", "polish", false},
		{"grey pad", "P800", false},
		{"P1500", "grey pad", false},
		{"", "P800", false},
	} {
		require.Equal(t, c.want, coating.Coarser(c.before, c.grade), "%s, then %s", c.before, c.grade)
	}
}

func TestLadderRemoval(t *testing.T) {
	t.Parallel()
	from1000 := []string{"P1000", "P1500", "P2000", "P3000", "compound", "polish"}
	off := must(coating.LadderRemoval(from1000))
	require.InDelta(t, 11.8, off.Low, 1e-9)
	require.InDelta(t, 17.7, off.Likely, 1e-9)
	require.InDelta(t, 25.5, off.High, 1e-9)
	require.InDelta(t, 30, must(coating.LadderRemoval(append([]string{"P800"}, from1000...))).Likely, .5)

	us, ok := coating.Removal("US 1000")
	require.True(t, ok)
	p2000, _ := coating.Removal("P2000")
	require.Equal(t, p2000, us, "US 1000 is P2000 by its grain")
	_, ok = coating.Removal("P400")
	require.False(t, ok)
}

// A printed two-pack epoxy sheet: pot life 24 h at 20 °C, 8 h at 30 °C, which is a factor
// of 3 per 10 °C; between them on the logarithm, beyond them by a factor of 2.
func TestPotLifeOfPrintedSheet(t *testing.T) {
	t.Parallel()
	epoxy := coating.Examples()[0]
	tests := []struct {
		tempC     float64
		hours     float64
		estimated bool
	}{{7, 48, false}, {20, 24, false}, {25, 13.86, false}, {30, 8, false}, {40, 4, true}, {-3, 96, true}}
	for _, test := range tests {
		minutes, estimated := epoxy.PotLifeAt(test.tempC, 0)
		require.InDelta(t, test.hours*60, float64(minutes), .6, "%g °C", test.tempC)
		require.Equal(t, test.estimated, estimated, "%g °C", test.tempC)
	}
}
