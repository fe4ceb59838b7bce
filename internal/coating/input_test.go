package coating_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// bad is an input that must be refused with a fault of a field, in a sentence that holds a word.
type bad struct {
	name  string
	err   error
	field string
	says  string
}

func (b bad) require(t *testing.T) {
	t.Helper()
	var f *coating.Fault
	require.True(t, errors.As(b.err, &f), "%s: %v", b.name, b.err)
	require.Equal(t, b.field, f.Field, b.name)
	require.Contains(t, f.Says, b.says, b.name)
	require.True(t, strings.HasSuffix(f.Says, ".") || strings.HasSuffix(f.Says, "?"), "%s: %q is no sentence", b.name, f.Says)
}

func failed[T any](_ T, err error) error { return err }

func TestBadFilms(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	tests := []bad{
		{"percent for a fraction", failed(coating.DryFilmUM(60, 52)), "volume_solids", "For 52 % write 0.52."},
		{"solids of 1.2", failed(coating.DryFilmUM(60, 1.2)), "volume_solids", "a fraction from 0 to 1, got 1.2. Look at the data sheet"},
		{"solids of 120", failed(coating.DryFilmUM(60, 120)), "volume_solids", "data sheet"},
		{"no solids", failed(coating.DryFilmUM(60, 0)), "volume_solids", "zero"},
		{"negative solids", failed(coating.DryFilmUM(60, -.1)), "volume_solids", "fraction"},
		{"solids no number", failed(coating.DryFilmUM(60, nan)), "volume_solids", "not a number"},
		{"negative wet film", failed(coating.DryFilmUM(-60, .5)), "wet_um", "negative"},
		{"wet film no number", failed(coating.DryFilmUM(nan, .5)), "wet_um", "not a number"},
		{"endless wet film", failed(coating.DryFilmUM(inf, .5)), "wet_um", "not a number"},
		{"negative dry film", failed(coating.WetFilmUM(-25, .5)), "dry_um", "negative"},
		{"no solids for a wet film", failed(coating.WetFilmUM(25, 0)), "volume_solids", "zero"},
		{"a wet film beyond numbers", failed(coating.WetFilmUM(1e300, 1e-300)), "dry_um", "too large"},
		{"wet below dry", failed(coating.SolidsFromFilms(25, 60)), "dry_um", "swapped"},
		{"no wet film", failed(coating.SolidsFromFilms(0, 0)), "wet_um", "zero"},
		{"empty mix", failed(mix()), "volume", "empty"},
		{"a mix of nothing", failed(mix(coating.Part{0, .5}, coating.Part{0, .2})), "volume", "empty"},
		{"a negative part", failed(mix(coating.Part{-1, .5})), "volume", "negative"},
		{"an endless part", failed(mix(coating.Part{inf, .5})), "volume", "not a number"},
		{"a part of 52 %", failed(mix(coating.Part{4, .58}, coating.Part{1, 52})), "volume_solids", "0.52"},
		{"a part no number", failed(mix(coating.Part{1, nan})), "volume_solids", "not a number"},
		{"cover of no film", failed(coating.CoverageM2PerL(.5, 0)), "dry_um", "zero"},
		{"cover of a negative film", failed(coating.CoverageM2PerL(.5, -3)), "dry_um", "negative"},
		{"cover of no solids", failed(coating.CoverageM2PerL(0, 25)), "volume_solids", "zero"},
		{"cover beyond numbers", failed(coating.CoverageM2PerL(1, 1e-310)), "dry_um", "too large"},
		{"transfer in percent", failed(coating.PracticalM2PerL(15, 30)), "transfer", "0.3"},
		{"no transfer", failed(coating.PracticalM2PerL(15, 0)), "transfer", "zero"},
		{"a build of nothing", failed(coating.CoatsFor(0, 50, .1)), "build_um", "zero"},
		{"coats without film", failed(coating.CoatsFor(100, 0, .1)), "wet_um", "zero"},
		{"coats without end", failed(coating.CoatsFor(100, .001, .1)), "build_um", "1,000"},
	}
	for _, test := range tests {
		test.require(t)
	}
}

func TestFilmsAtTheEdge(t *testing.T) {
	t.Parallel()
	require.Zero(t, must(coating.DryFilmUM(0, .5)), "nothing sprayed leaves nothing")
	require.Equal(t, 60.0, must(coating.DryFilmUM(60, 1)), "all solids")
	require.Zero(t, must(coating.WetFilmUM(0, .5)))
	require.Equal(t, 1.0, must(coating.SolidsFromFilms(60, 60)))
	require.Zero(t, must(coating.MixVolumeSolids([]coating.Part{{1, 0}, {2, 0}})), "thinners only")
	require.Equal(t, .5, must(coating.MixVolumeSolids([]coating.Part{{0, 1}, {2, .5}})), "a part of no volume")
	require.Equal(t, .5, must(coating.MixVolumeSolids([]coating.Part{{1e308, .4}, {1e308, .6}})), "volumes near the end of numbers")
}

func TestBadAir(t *testing.T) {
	t.Parallel()
	tests := []bad{
		{"humidity 0", failed(coating.DewPointC(20, 0)), "rh_percent", "no dew point"},
		{"humidity 101", failed(coating.DewPointC(20, 101)), "rh_percent", "up to 100"},
		{"humidity −3", failed(coating.DewPointC(20, -3)), "rh_percent", "above 0"},
		{"humidity no number", failed(coating.DewPointC(20, math.NaN())), "rh_percent", "not a number"},
		{"air no number", failed(coating.DewPointC(math.NaN(), 50)), "air_c", "not a number"},
		{"endless air", failed(coating.DewPointC(math.Inf(-1), 50)), "air_c", "not a number"},
		{"air in °F", failed(coating.DewPointC(72, 50)), "air_c", "72 °F is 22.2 °C"},
		{"air at −41 °C", failed(coating.DewPointC(-41, 50)), "air_c", "−40"},
	}
	for _, test := range tests {
		test.require(t)
	}
	require.Equal(t, 20.0, must(coating.DewPointC(20, 100)), "saturated air is at its dew point")
	require.Equal(t, -40.0, must(coating.DewPointC(-40, 100)))
	require.InDelta(t, 36.7, must(coating.DewPointC(50, 50)), .1)
	require.Less(t, must(coating.DewPointC(20, 1)), -35.0)
}

func TestSprayWindow(t *testing.T) {
	t.Parallel()
	v := func(x float64) *float64 { return &x }
	limits := coating.Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 70}
	tests := []struct {
		name      string
		c         coating.Conditions
		l         coating.Limits
		warnings  []coating.RemarkCode
		questions []coating.RemarkCode
		says      string
	}{
		{"good air", coating.Conditions{v(20), v(60), v(19)}, limits, nil, nil, ""},
		{"surface 14.5, dew 12.0: 2.5 is under 3 (ISO 8502-4)", coating.Conditions{v(20), v(60), v(14.5)}, coating.Limits{}, []coating.RemarkCode{coating.NearDew}, nil, "Surface only 2.5 °C above dew"},
		{"cold steel sweats", coating.Conditions{v(20), v(60), v(11)}, coating.Limits{}, []coating.RemarkCode{coating.NearDew}, nil, "Surface at dew point: wet"},
		{"cold, hot and humid", coating.Conditions{v(12), v(80), v(14)}, limits, []coating.RemarkCode{coating.AirCold, coating.SurfaceCold, coating.Humid}, nil, "Air under 15 °C"},
		{"hot", coating.Conditions{v(34), v(40), v(30)}, limits, []coating.RemarkCode{coating.AirHot}, nil, "Air over 30 °C"},
		{"humid by the usual limit", coating.Conditions{v(20), v(86), v(24)}, coating.Limits{}, []coating.RemarkCode{coating.Humid}, nil, "Humidity over 85 %"},
		{"surface 72: typed in °F", coating.Conditions{v(20), v(60), v(72)}, limits, nil, []coating.RemarkCode{coating.TypedInF}, "The surface at 72 °C? Typed in °F it is 22.2 °C."},
		{"air 68: typed in °F", coating.Conditions{v(68), v(60), v(19)}, limits, nil, []coating.RemarkCode{coating.TypedInF}, "The air at 68 °C? Typed in °F it is 20.0 °C."},
		{"humidity 101", coating.Conditions{v(20), v(101), v(19)}, limits, nil, []coating.RemarkCode{coating.CannotBe}, "Humidity can't be 101 %. What is it?"},
		{"air no number", coating.Conditions{v(math.NaN()), v(60), v(19)}, limits, nil, []coating.RemarkCode{coating.CannotBe}, "The air can't be that hot or cold. What is it?"},
		{"nothing read", coating.Conditions{}, limits, nil, []coating.RemarkCode{coating.ReadingMissing, coating.ReadingMissing, coating.ReadingMissing}, "What is the air temperature?"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			got := coating.SprayWindow(test.c, test.l)
			require.Equal(t, test.warnings, codes(got.Warnings))
			require.Equal(t, test.questions, codes(got.Questions))
			require.Equal(t, len(test.warnings)+len(test.questions) == 0, got.Fit())
			if test.says != "" {
				require.Equal(t, test.says, append(got.Questions, got.Warnings...)[0].Says)
			}
		})
	}
}

func codes(remarks []coating.Remark) []coating.RemarkCode {
	var out []coating.RemarkCode
	for _, r := range remarks {
		out = append(out, r.Code)
	}
	return out
}

func TestHowGradesAreWritten(t *testing.T) {
	t.Parallel()
	for typed, um := range map[string]float64{
		"P800": 21.8, "p800": 21.8, " p 800 ": 21.8, "US 1000": 10.3, "us1000": 10.3, "cami 1000": 10.3, "P2000": 10.3,
		"180": 82, "220": 68, "40": 425,
	} {
		require.Equal(t, um, must(coating.GrainSizeUM(typed)), typed)
	}
	tests := []bad{
		{"two scales", failed(coating.GrainSizeUM("800")), "grade", "write P800 or US 800"},
		{"one scale here, but who knows", failed(coating.GrainSizeUM("2500")), "grade", "write P2500"},
		{"blank", failed(coating.GrainSizeUM("  ")), "grade", "missing"},
		{"P alone", failed(coating.GrainSizeUM("P")), "grade", "no grade known"},
		{"no such grade", failed(coating.GrainSizeUM("P801")), "grade", "P12 to P2500"},
		{"no size in print", failed(coating.GrainSizeUM("P3000")), "grade", "P12 to P2500"},
		{"no such US grade", failed(coating.GrainSizeUM("US 2000")), "grade", "US 24 to US 1000"},
		{"another scale", failed(coating.GrainSizeUM("J800")), "grade", "no grade known"},
		{"a fraction", failed(coating.GrainSizeUM("P800.5")), "grade", "not in the table"},
		{"a range", failed(coating.GrainSizeUM("P800-P1000")), "grade", "not in the table"},
		{"negative", failed(coating.GrainSizeUM("-800")), "grade", "no grade known"},
		{"a number no scale has", failed(coating.GrainSizeUM("801")), "grade", "no grade known"},
	}
	for _, test := range tests {
		test.require(t)
	}
}

func TestBadLadders(t *testing.T) {
	t.Parallel()
	tests := []bad{
		{"one grade", failed(coating.Ladder([]string{"P800"}, 2)), "grades", "at least two"},
		{"back to a coarser one", failed(coating.Ladder([]string{"P1500", "P800"}, 2)), "grades", "coarser"},
		{"paper after compound", failed(coating.Ladder([]string{"compound", "P2000"}, 2)), "grades", "coarser"},
		{"the finest paper after polish", failed(coating.Ladder([]string{"polish", "P5000"}, 2)), "grades", "coarser"},
		{"an unknown grade", failed(coating.Ladder([]string{"P800", "fine"}, 2)), "grade", "no grade known"},
		{"no limit", failed(coating.Ladder([]string{"P800", "P1000"}, 1)), "limit", "above 1"},
		{"a limit no number", failed(coating.Ladder([]string{"P800", "P1000"}, math.NaN())), "limit", "above 1"},
		{"no figure", failed(coating.LadderRemoval([]string{"P400"})), "grades", "isn't known"},
	}
	for _, test := range tests {
		test.require(t)
	}
}

func TestBadAmounts(t *testing.T) {
	t.Parallel()
	need := func(change func(*coating.Need)) error {
		n := coating.Need{AreaM2: 2.6, WetUM: 60, Coats: 2, Transfer: .3, Waste: .1, FixedML: 50}
		change(&n)
		return failed(coating.ReadyToSprayML(n))
	}
	parts := []coating.PartSheet{{Name: "base", Share: 4}, {Name: "hardener", Share: 1}}
	split := func(total float64, p []coating.PartSheet, th coating.Thinner) error {
		return failed(coating.SplitML(total, p, th, coating.CupML))
	}
	tests := []bad{
		{"no area", need(func(n *coating.Need) { n.AreaM2 = 0 }), "area_m2", "zero"},
		{"negative wet film", need(func(n *coating.Need) { n.WetUM = -60 }), "wet_um", "negative"},
		{"no coats", need(func(n *coating.Need) { n.Coats = 0 }), "coats", "1 to 1,000"},
		{"transfer in percent", need(func(n *coating.Need) { n.Transfer = 30 }), "transfer", "0.3"},
		{"waste in percent", need(func(n *coating.Need) { n.Waste = 10 }), "waste", "0.1"},
		{"negative loss", need(func(n *coating.Need) { n.FixedML = -1 }), "fixed_ml", "negative"},
		{"more than numbers hold", need(func(n *coating.Need) { n.AreaM2 = 1e308 }), "area_m2", "too large"},
		{"no total", split(0, parts, coating.Thinner{}), "total_ml", "zero"},
		{"a lake", split(1e9, parts, coating.Thinner{}), "total_ml", "decimal point"},
		{"no parts", split(900, nil, coating.Thinner{}), "parts", "no parts"},
		{"a part of no share", split(900, []coating.PartSheet{{Name: "base"}}, coating.Thinner{}), "share", "zero"},
		{"thinner in percent", split(900, parts, coating.Thinner{Fraction: 10}), "thinner.fraction", "For 10 % write 0.1"},
		{"loss above the amount", failed(coating.Mixes(30, 50, 60, 60)), "fixed_ml", "more than the amount"},
		{"mixes without end", failed(coating.Mixes(900, 50, .01, 60)), "pot_life", "1,000"},
		{"slim piece of no width", failed(coating.ForSlimPiece(.65, 0, 120)), "width_mm", "zero"},
		{"foil of no mass", failed(coating.FoilAreaM2(3, 0)), "grams_per_m2", "zero"},
		{"wet film upside down", failed(coating.DryRange(coating.Range{60, 50, 70}, .5)), "wet_um", "order"},
	}
	for _, test := range tests {
		test.require(t)
	}
	require.Equal(t, .65, must(coating.ForSlimPiece(.65, 500, 120)), "wider than the fan loses nothing more")
}

func TestAcceptance(t *testing.T) {
	t.Parallel()
	spot := func(um float64) []float64 { return []float64{um - 20, um, um + 20} }
	good := must(coating.Accept([][]float64{spot(82), spot(110), spot(110), spot(120), spot(120)}, 100, 150, coating.DefaultLevel))
	require.True(t, good.Passes, "single readings are not restricted, spots may go to 80 %")
	require.False(t, good.FewSpots)

	thin := must(coating.Accept([][]float64{spot(79), spot(130), spot(130), spot(130), spot(130)}, 100, 150, coating.DefaultLevel))
	require.True(t, thin.AreaPasses)
	require.False(t, thin.Passes, "one spot under 80 %")
	require.False(t, thin.Spots[0].Passes)

	area := must(coating.Accept([][]float64{spot(90), spot(90)}, 100, 150, coating.DefaultLevel))
	require.True(t, area.Spots[0].Passes)
	require.False(t, area.Passes, "the mean of the area is under the minimum")
	require.True(t, area.FewSpots)

	three := [][]float64{{100, 100, 100}}
	tests := []bad{
		{"no spots", failed(coating.Accept(nil, 100, 150, 3)), "spots", "No spot"},
		{"two readings", failed(coating.Accept([][]float64{{100, 100}}, 100, 150, 3)), "spots", "at least 3"},
		{"a negative reading", failed(coating.Accept([][]float64{{100, -1, 100}}, 100, 150, 3)), "spots", "negative"},
		{"limits swapped", failed(coating.Accept(three, 150, 100, 3)), "min", "Swap"},
		{"no greatest film", failed(coating.Accept(three, 100, 0, 3)), "max", "zero"},
		{"level 6", failed(coating.Accept(three, 100, 150, 6)), "level", "1 to 5"},
		{"no area", failed(coating.CountsFT2(0)), "area_ft2", "zero"},
		{"a county", failed(coating.CountsFT2(1e12)), "area_ft2", "decimal point"},
	}
	for _, test := range tests {
		test.require(t)
	}
}
