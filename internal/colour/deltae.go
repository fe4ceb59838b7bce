package colour

import "math"

// DeltaE2000 is the colour difference ΔE00 of ISO/CIE 11664-6 with kL = kC = kH = 1.
// It is symmetric, 0 for a colour and itself and never negative. A coordinate that is
// NaN or infinite gives NaN, which is within no tolerance.
//
// Source: Sharma, Wu and Dalal, Color Research & Application 30 (2005), 21–30, whose
// equation numbers stand below. Where the formula jumps, at hues half a turn apart,
// it is decided on the coordinates and not on rounded angles: see [opposite].
func DeltaE2000(x, y Lab) float64 {
	meanC := (math.Hypot(x.A, x.B) + math.Hypot(y.A, y.B)) / 2
	g := 0.5 * (1 - chromaWeight(meanC)) // (4)
	x1, y1 := polar(x, 1+g), polar(y, 1+g)

	dL := y1.lightness - x1.lightness // (8)
	dC := y1.chroma - x1.chroma       // (9)
	dh, hue := hues(x1, y1, opposite(x, y))
	dH := 2 * math.Sqrt(x1.chroma*y1.chroma) * math.Sin(radians(dh/2)) // (11)

	lightness := (x1.lightness + y1.lightness) / 2 // (12)
	chroma := (x1.chroma + y1.chroma) / 2          // (13)
	fromMiddle := (lightness - 50) * (lightness - 50)
	sL := 1 + 0.015*fromMiddle/math.Sqrt(20+fromMiddle) // (18)
	sC := 1 + 0.045*chroma                              // (19)
	sH := 1 + 0.015*chroma*hueWeight(hue)               // (20)

	l, c, h := dL/sL, dC/sC, dH/sH
	return math.Sqrt(math.Max(0, l*l+c*c+h*h+rotation(hue, chroma)*c*h)) // (22)
}

// hueWeight is T, equation (15); hue in degrees.
func hueWeight(hue float64) float64 {
	return 1 - 0.17*cosDegrees(hue-30) + 0.24*cosDegrees(2*hue) + 0.32*cosDegrees(3*hue+6) - 0.20*cosDegrees(4*hue-63)
}

// rotation is R_T, which turns the ellipses of the blues, equations (16), (17), (21).
func rotation(hue, chroma float64) float64 {
	fromBlue := (hue - 275) / 25
	turn := 30 * math.Exp(-fromBlue*fromBlue)
	return -math.Sin(radians(2*turn)) * 2 * chromaWeight(chroma)
}

// chromaWeight is √(C⁷ ⁄ (C⁷ + 25⁷)), written so that neither a grey nor a great
// chroma divides by zero or overflows into NaN.
func chromaWeight(chroma float64) float64 {
	return 1 / math.Sqrt(1+math.Pow(25/chroma, 7))
}

// lch is a colour in lightness, chroma and hue, 0° ≤ hue ≤ 360°. That of a grey says nothing.
type lch struct{ lightness, chroma, hue float64 }

// polar is the colour with A stretched, equations (5) to (7).
func polar(c Lab, stretch float64) lch {
	a := c.A * stretch
	hue := math.Atan2(c.B, a) * 180 / math.Pi
	if hue < 0 {
		hue += 360
	}
	return lch{lightness: c.L, chroma: math.Hypot(a, c.B), hue: hue}
}

// boundary is how far a product or an angle may be from a place where the formula
// jumps and still count as being on it: far above rounding, far below any decimal
// that an instrument writes.
const boundary = 1e-12

// opposite tells whether the hues of two colours are half a turn apart. Stretching A
// of both leaves that as it is, so the coordinates as they were read decide: pair 14
// of the published table, (−0.001, 2.49) against (0.001, −2.49), is opposite, and
// rounded angles say so or not by luck.
func opposite(x, y Lab) bool {
	across := x.A*y.B - x.B*y.A
	along := x.A*y.A + x.B*y.B
	return along < 0 && math.Abs(across) <= boundary*-along
}

// hues gives the difference and the mean of two hues in degrees, equations (10)
// and (14). Hues half a turn apart take the plain mean.
func hues(x, y lch, opposite bool) (difference, mean float64) {
	difference, sum := y.hue-x.hue, x.hue+y.hue
	switch {
	case x.chroma == 0 || y.chroma == 0:
		return 0, 0 // beside a grey hue makes no difference, so the mean weighs nothing
	case opposite || math.Abs(difference) <= 180:
		return difference, sum / 2
	case difference > 180:
		difference -= 360
	default:
		difference += 360
	}
	if sum < 360-360*boundary {
		return difference, (sum + 360) / 2
	}
	return difference, (sum - 360) / 2
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }

func cosDegrees(degrees float64) float64 { return math.Cos(radians(degrees)) }
