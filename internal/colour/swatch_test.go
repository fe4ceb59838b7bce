package colour_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/colour"
)

// The Lab of the primaries of sRGB under D65, widely printed to two decimals.
func TestSwatchOfKnownColours(t *testing.T) {
	t.Parallel()
	tests := []struct {
		hex string
		lab colour.Lab
	}{
		{"#000000", colour.Lab{}},
		{"#ffffff", colour.Lab{L: 100}},
		{"#777777", colour.Lab{L: 50.03}},
		{"#ff0000", colour.Lab{L: 53.24, A: 80.09, B: 67.20}},
		{"#00ff00", colour.Lab{L: 87.73, A: -86.18, B: 83.18}},
		{"#0000ff", colour.Lab{L: 32.30, A: 79.19, B: -107.86}},
	}
	for _, tt := range tests {
		lab, err := colour.LabOfHex(tt.hex)
		require.NoError(t, err)
		require.InDelta(t, tt.lab.L, lab.L, 0.01, tt.hex)
		require.InDelta(t, tt.lab.A, lab.A, 0.01, tt.hex)
		require.InDelta(t, tt.lab.B, lab.B, 0.01, tt.hex)
		hex, inGamut := colour.Swatch(tt.lab)
		require.Equal(t, tt.hex, hex)
		require.True(t, inGamut, tt.hex)
	}
}

// Too green and too red for a screen: the channels that go under or over are clipped.
func TestSwatchOutOfGamut(t *testing.T) {
	t.Parallel()
	tests := []struct {
		lab colour.Lab
		hex string
	}{
		{colour.Lab{L: 50, A: -80}, "#009375"},
		{colour.Lab{L: 60, A: 120, B: 110}, "#ff0000"},
		{colour.Lab{L: 100, B: 60}, "#fffc87"},
	}
	for _, tt := range tests {
		hex, inGamut := colour.Swatch(tt.lab)
		require.False(t, inGamut, "%v", tt.lab)
		require.Equal(t, tt.hex, hex)
	}
	for _, broken := range []colour.Lab{{L: math.NaN()}, {L: 101}, {B: 128}} {
		hex, inGamut := colour.Swatch(broken)
		require.Empty(t, hex)
		require.False(t, inGamut)
	}
}

// Law: every colour of a screen goes to Lab and back unchanged.
func TestSwatchRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := fmt.Sprintf("#%06x", rapid.IntRange(0, 0xffffff).Draw(t, "rgb"))
		lab, err := colour.LabOfHex(want)
		require.NoError(t, err)
		require.NoError(t, lab.Check())
		hex, inGamut := colour.Swatch(lab)
		require.Equal(t, want, hex)
		require.True(t, inGamut)
	})
}

func TestLabOfHexRefuses(t *testing.T) {
	t.Parallel()
	for _, hex := range []string{"", "#", "brown", "#9a6", "#9a6a3c0", "#-9a6a3", "#9a_a3c", "0x9a6a"} {
		_, err := colour.LabOfHex(hex)
		require.EqualError(t, err, fmt.Sprintf("%q is no colour: write # and six hexadecimal digits, such as #9a6a3c", hex))
	}
	want, err := colour.LabOfHex("#9a6a3c")
	require.NoError(t, err)
	got, err := colour.LabOfHex(" 9A6A3C ")
	require.NoError(t, err)
	require.Equal(t, want, got)
}
