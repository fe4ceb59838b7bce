package restoration

import (
	"fmt"

	"scumble/internal/colour"
)

func colourReferences() []Reference {
	return []Reference{
		{"Colour", "Colour difference ΔE00", "CIEDE2000 with kL = kC = kH = 1", "ISO/CIE 11664-6; Sharma, Wu & Dalal, Color Res. Appl. 30:21–30 (2005)",
			"(50, 2.6772, −79.7751) and (50, 0, −82.7485)", "2.0425", func() string {
				return shown("%.4f")(colour.DeltaE2000(colour.Lab{L: 50, A: 2.6772, B: -79.7751}, colour.Lab{L: 50, B: -82.7485}), nil)
			}},
		{"Colour", "Opposite hues", "where the formula jumps it is decided on the coordinates", "the same, pair 10",
			"(50, 2.49, −0.001) and (50, −2.49, 0.001)", "7.1792", func() string {
				return shown("%.4f")(colour.DeltaE2000(colour.Lab{L: 50, A: 2.49, B: -.001}, colour.Lab{L: 50, A: -2.49, B: .001}), nil)
			}},
		{"Colour", "The odd piece of a set", "the one whose taking out brings the rest within tolerance", commonPractice,
			"L* 50.0, 50.2 and 54.0, tolerance 1.0", "the third", func() string {
				m := colour.Match([]colour.Sample{{Name: "the first", Lab: colour.Lab{L: 50}}, {Name: "the second", Lab: colour.Lab{L: 50.2}},
					{Name: "the third", Lab: colour.Lab{L: 54}}}, nil, colour.Tolerance{Set: 1, Scheme: 2})
				if m.Odd == nil {
					return "none"
				}
				return m.Odd.Name
			}},
		{"Colour", "Angle of the gloss meter", "20° above 70 GU at 60°, 85° below 10", "ISO 2813; ASTM D523",
			"90, 40 and 5 GU at 60°", "20 / 60 / 85°", func() string {
				return fmt.Sprintf("%d / %d / %d°", colour.Geometry(90), colour.Geometry(40), colour.Geometry(5))
			}},
		{"Colour", "Swatch on a screen", "L*a*b* under D65 to sRGB", "IEC 61966-2-1",
			"(50, 0, 0)", "#777777", func() string {
				hex, _ := colour.Swatch(colour.Lab{L: 50})
				return hex
			}},
	}
}
