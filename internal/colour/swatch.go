package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Swatch is what a colour looks like on a screen, as "#b98a4e" in sRGB (IEC
// 61966-2-1), and whether a screen can show it: a colour outside sRGB is clipped
// channel by channel and inGamut is false. A Lab that [Lab.Check] refuses has no
// swatch: "".
//
// The reading's white is taken for the screen's, D65, so a grey stays a grey. Two
// things are neglected: readings are for the 10° observer and screens are for the 2°
// observer, a shift of a few units in brown tones (from memory), and no screen of a
// shop is calibrated. A swatch is for telling pieces apart, never for matching.
func Swatch(c Lab) (hex string, inGamut bool) {
	if c.Check() != nil {
		return "", false
	}
	inGamut = true
	var b [3]byte
	for i, v := range linear(c) {
		v = encode(v) * 255
		// Half a step is what rounding takes away in any case.
		if v < -0.5 || v > 255.5 {
			inGamut = false
		}
		b[i] = byte(math.Round(min(max(v, 0), 255)))
	}
	return fmt.Sprintf("#%02x%02x%02x", b[0], b[1], b[2]), inGamut
}

// LabOfHex is the colour of "#b98a4e" or "b98a4e", in either case, under the
// assumptions of [Swatch].
func LabOfHex(hex string) (Lab, error) {
	digits := strings.TrimPrefix(strings.TrimSpace(hex), "#")
	rgb, err := strconv.ParseUint(digits, 16, 32)
	if err != nil || len(digits) != 6 {
		return Lab{}, fmt.Errorf("%s is no colour: write # and six hexadecimal digits, such as #9a6a3c", quote(hex))
	}
	r, g, b := decode(byte(rgb>>16)), decode(byte(rgb>>8)), decode(byte(rgb))
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*b) / whiteX)
	y := f(0.2126729*r + 0.7151522*g + 0.0721750*b)
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*b) / whiteZ)
	// The middle row of the matrix sums to a hair over 1.
	return Lab{L: min(116*y-16, maxL), A: 500 * (x - y), B: 200 * (y - z)}, nil
}

// The white D65 for the 2° observer, with Y = 1: the sums of the rows of the sRGB
// matrix, so that white is white to the last digit.
const (
	whiteX = 0.4124564 + 0.3575761 + 0.1804375
	whiteZ = 0.0193339 + 0.1191920 + 0.9503041
)

// linear is the colour in linear sRGB, in which 0 to 1 can be shown.
func linear(c Lab) [3]float64 {
	fy := (c.L + 16) / 116
	x := whiteX * inverse(fy+c.A/500)
	y := inverse(fy)
	z := whiteZ * inverse(fy-c.B/200)
	return [3]float64{
		3.2404542*x - 1.5371385*y - 0.4985314*z,
		-0.9692660*x + 1.8760108*y + 0.0415560*z,
		0.0556434*x - 0.2040259*y + 1.0572252*z,
	}
}

// The two ends of the straight piece of CIE L*a*b* near black (ISO/CIE 11664-4).
const (
	epsilon = 216.0 / 24389
	kappa   = 24389.0 / 27
)

func f(t float64) float64 {
	if t > epsilon {
		return math.Cbrt(t)
	}
	return (kappa*t + 16) / 116
}

// inverse undoes f.
func inverse(t float64) float64 {
	if cube := t * t * t; cube > epsilon {
		return cube
	}
	return (116*t - 16) / kappa
}

// encode is the curve of sRGB from linear light; decode undoes it for one byte.
func encode(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

func decode(b byte) float64 {
	v := float64(b) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}
