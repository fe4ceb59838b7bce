package colour_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
)

func TestParseLab(t *testing.T) {
	t.Parallel()
	for _, typed := range [][3]string{{"52.3", "14", "-3.25"}, {" 52,3 ", "+14,0", "−3,25"}} {
		lab, err := colour.ParseLab(typed[0], typed[1], typed[2])
		require.NoError(t, err)
		require.Equal(t, colour.Lab{L: 52.3, A: 14, B: -3.25}, lab)
	}
	for _, typed := range [][3]string{{"0", "-128", "-128"}, {"100", "127", "127"}} {
		_, err := colour.ParseLab(typed[0], typed[1], typed[2])
		require.NoError(t, err)
	}
}

func TestParseLabRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct {
		l, a, b string
		want    colour.LabError
	}{
		{"", "1", "1", colour.LabError{L: "L* is empty: write a number from 0 to 100."}},
		{"dark", "1", "1", colour.LabError{L: `L* "dark" is no number: write one from 0 to 100, such as 52.3.`}},
		{"1e1", "1", "1", colour.LabError{L: `L* "1e1" is no number: write one from 0 to 100, such as 52.3.`}},
		{"NaN", "1", "1", colour.LabError{L: `L* "NaN" is no number: write one from 0 to 100, such as 52.3.`}},
		{"1.2,3", "1", "1", colour.LabError{L: `L* "1.2,3" is no number: write one from 0 to 100, such as 52.3.`}},
		{"-0.1", "1", "1", colour.LabError{L: "L* -0.1 is out of range: it goes from 0 to 100."}},
		{"100.1", "-129", "127.5", colour.LabError{
			L: "L* 100.1 is out of range: it goes from 0 to 100.",
			A: "a* -129 is out of range: it goes from -128 to 127.",
			B: "b* 127.5 is out of range: it goes from -128 to 127."}},
	}
	for _, tt := range tests {
		_, err := colour.ParseLab(tt.l, tt.a, tt.b)
		var wrong *colour.LabError
		require.True(t, errors.As(err, &wrong), "%v", err)
		require.Equal(t, tt.want, *wrong)
	}
	_, err := colour.ParseLab("x", "1", strings.Repeat("9", 400))
	require.ErrorContains(t, err, `L* "x" is no number: write one from 0 to 100, such as 52.3. b* "9999`)
	require.Less(t, len(err.Error()), 250)
}

func TestLabCheck(t *testing.T) {
	t.Parallel()
	require.NoError(t, colour.Lab{L: 50, A: 10, B: 20}.Check())
	require.EqualError(t, colour.Lab{L: math.NaN(), B: math.Inf(1)}.Check(),
		"L* is no number: it goes from 0 to 100. b* +Inf is out of range: it goes from -128 to 127.")
}

// Law: what is typed either gives a colour that passes its check or a sentence.
func FuzzParseLab(f *testing.F) {
	f.Add("52.3", "14", "-3,25")
	f.Add("", "−", "1.2.3")
	f.Fuzz(func(t *testing.T, l, a, b string) {
		lab, err := colour.ParseLab(l, a, b)
		if err != nil {
			require.NotEmpty(t, err.Error())
			require.Zero(t, lab)
			return
		}
		require.NoError(t, lab.Check())
	})
}
