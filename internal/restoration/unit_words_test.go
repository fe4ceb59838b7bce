package restoration

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
)

// A US gallon is 231 cubic inches, an inch 25.4 mm: 3.785411784 L, and the 128th of it,
// a fluid ounce, 29.5735295625 mL (by definition; the figures are from memory).
func TestUSMeasuresAreExact(t *testing.T) {
	t.Parallel()
	require.InEpsilon(t, 29.5735295625, coating.MLPerFlOz, 1e-14)
	require.InEpsilon(t, 3785.411784, 128*coating.MLPerFlOz, 1e-14)
}

func TestAmountsInTheShopsUnit(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		ml         float64
		metric, us string
	}{
		{0, "0 mL", "0 fl oz"},
		{5, "5 mL", "0.17 fl oz"},
		{29.5735295625, "30 mL", "1 fl oz"},
		{43.7, "44 mL", "1.48 fl oz"},
		{295.6, "296 mL", "10 fl oz"},
		{820, "820 mL", "27.7 fl oz"},
		{946.352946, "946 mL", "32 fl oz"},
		{1000, "1 L", "33.8 fl oz"},
		{1250, "1.25 L", "42.3 fl oz"},
		{3785.411784, "3.79 L", "1 US gal"},
		{5000, "5 L", "1.32 US gal"},
		{0.4, "0.4 mL", "0.01 fl oz"},
		{-0.01, "0 mL", "0 fl oz"},
	} {
		require.Equal(t, test.metric, VolumeWords(test.ml, Metric))
		require.Equal(t, test.us, VolumeWords(test.ml, US))
	}
}

// Of 262.3 µm of clear a pass of P2000 takes 2 µm and one of compound 2.7: 260.3 µm are
// 10.248 mil, 259.6 are 10.220. P1200 and P1500 take as much as one another.
func TestFilmsThatDifferReadApart(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		um         []float64
		metric, us []string
	}{
		{[]float64{260.3, 259.6}, []string{"260.3 µm", "259.6 µm"}, []string{"10.25 mil", "10.22 mil"}},
		{[]float64{257.8, 257.8}, []string{"258 µm", "258 µm"}, []string{"10.1 mil", "10.1 mil"}},
		{[]float64{118, 117.5, 108}, []string{"118.0 µm", "117.5 µm", "108 µm"}, []string{"4.65 mil", "4.63 mil", "4.25 mil"}},
		{[]float64{118, 118.01}, []string{"118 µm", "118 µm"}, []string{"4.65 mil", "4.65 mil"}},
		{[]float64{0, 0.05}, []string{"0.0 µm", "0.1 µm"}, []string{"0 mil", "0 mil"}},
		{nil, []string{}, []string{}},
	} {
		require.Equal(t, test.metric, FilmsApart(test.um, Metric))
		require.Equal(t, test.us, FilmsApart(test.um, US))
	}
}

// Law: films that read the same alone and not beside one another have a digit more, and
// what reads the same beside one another differs by no more than that digit.
func TestFilmsReadTheSameOnlyWhereTheyAre(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		um := rapid.SliceOfN(rapid.Float64Range(0, 400), 2, 8).Draw(t, "µm")
		units := rapid.SampledFrom([]Units{Metric, US}).Draw(t, "units")
		words := FilmsApart(um, units)
		finest := map[Units]float64{Metric: .1, US: 25.4 * .01}[units]
		for i := range um {
			for j := range um {
				if words[i] == words[j] {
					require.InDelta(t, um[i], um[j], finest+1e-9)
				}
			}
		}
	})
}

func TestFilmsAndTemperaturesInTheShopsUnit(t *testing.T) {
	t.Parallel()
	for um, want := range map[float64][2]string{
		0: {"0 µm", "0 mil"}, 2: {"2 µm", "0.08 mil"}, 20.32: {"20 µm", "0.80 mil"}, 25.4: {"25 µm", "1.00 mil"}, 118: {"118 µm", "4.65 mil"},
		253.8: {"254 µm", "9.99 mil"}, 254: {"254 µm", "10.0 mil"},
	} {
		require.Equal(t, want, [2]string{FilmWords(um, Metric), FilmWords(um, US)})
	}
	require.Equal(t, "28–36 µm", FilmSpan(coating.Range{Low: 28, Likely: 32, High: 36}, Metric))
	require.Equal(t, "0.04–0.12 mil", FilmSpan(coating.Range{Low: 1, Likely: 2, High: 3}, US))
	require.Equal(t, "1.26 mil", FilmSpan(coating.Exactly(32), US))
	require.Equal(t, []string{"18.5 °C", "65.3 °F", "-4 °F"}, []string{TempWords(18.5, Metric), TempWords(18.5, US), TempWords(-20, US)})
	require.Equal(t, "20–25 °C", RoomWords(Metric))
	require.Equal(t, strings.ReplaceAll(TempWords(20, US)+"–"+TempWords(25, US), " °F–", "–"), RoomWords(US))
}

// Law: what is said of the air has no degree of the other scale in it.
func TestRemarksSpeakTheShopsUnit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, from, to float64) *float64 {
			return new(rapid.Float64Range(from, to).Draw(t, name))
		}
		c := coating.Conditions{AirC: num("air", -60, 150), RHPercent: num("humidity", 1, 100), SurfaceC: num("surface", -60, 150)}
		v := coating.SprayWindow(c, coating.Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15})
		for _, r := range append(v.Warnings, v.Questions...) {
			require.NotContains(t, RemarkWords(r, US), "°C")
			require.Equal(t, r.Says, RemarkWords(r, Metric))
		}
	})
}

// The worked air: 10 °C is 50 °F, 1.5 °C of margin are 2.7 °F.
func TestRemarksInFahrenheit(t *testing.T) {
	t.Parallel()
	air, rh, surface := 10.0, 60.0, 4.0
	v := coating.SprayWindow(coating.Conditions{AirC: &air, RHPercent: &rh, SurfaceC: &surface}, coating.Limits{AirMinC: 15})
	var says []string
	for _, r := range v.Warnings {
		says = append(says, RemarkWords(r, US))
	}
	require.Equal(t, []string{"Surface only " + strconv.FormatFloat(v.MarginC*1.8, 'f', 1, 64) + " °F above dew", "Air under 59 °F"}, says)
	require.Equal(t, "The air at 158 °F? Read it again.", RemarkWords(coating.Remark{Code: coating.TypedInF, Of: "air", Have: 70}, US))
}

// 1,000 µm are 39.37 mil, 2,000 are 78.74, and 1,000 L are 264.17 US gal: what a bound
// names is still inside.
func TestChecksNameTheShopsUnitOnly(t *testing.T) {
	t.Parallel()
	s := StockScheme(1, "")
	s.FloorUM, s.BuildUM = 1001, 2001
	require.Equal(t, []string{"The floor must be from 0 µm to 1000 µm.", "The clear wanted must be at least the floor, and at most 2000 µm."}, messages(s.Check(Metric)))
	require.Equal(t, []string{"The floor must be from 0 mil to 39.3 mil.", "The clear wanted must be at least the floor, and at most 78.7 mil."}, messages(s.Check(US)))
	l := Lot{Number: "C-1", AmountML: 1_000_001}
	require.Equal(t, []string{"Say how much is in the tin, more than nothing and at most 1000 L."}, messages(l.Check(Metric)))
	require.Equal(t, []string{"Say how much is in the tin, more than nothing and at most 264.17 US gal."}, messages(l.Check(US)))
}

func TestLengthWords(t *testing.T) {
	t.Parallel()
	for mm, want := range map[float64][2]string{
		63.5: {"63.5 mm", "2.5 in"}, 66.675: {"66.7 mm", "2.625 in"}, 0.3: {"0.3 mm", "0.012 in"}, 215.9: {"215.9 mm", "8.5 in"}, 0: {"0 mm", "0 in"},
	} {
		require.Equal(t, want, [2]string{LengthWords(mm, Metric), LengthWords(mm, US)})
	}
}
