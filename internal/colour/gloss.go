package colour

import "fmt"

// Gloss is a reading in gloss units at an angle in degrees. A number without its
// angle says nothing: polished clear reads some 95 at 60° and 85 at 20°.
type Gloss struct {
	GU    float64
	Angle int
}

// maxGU is the most that is taken for a reading. Polished black glass is set to 100
// at each angle, metal reads many hundreds, paint stays below glass or a little above
// (from memory).
const maxGU = 200

// DefaultGlossTolerance is ± 5 GU. Common practice, no source.
const DefaultGlossTolerance = 5.0

// Angles are the three angles of ISO 2813 and ASTM D523, the usual one first.
func Angles() []int { return []int{60, 20, 85} }

// Geometry is the angle in degrees at which a surface of this gloss at 60° is to be
// measured: 20° above 70 GU, 85° below 10 GU, else 60° (ISO 2813, ASTM D523).
func Geometry(gu60 float64) int {
	switch {
	case gu60 > 70:
		return 20
	case gu60 < 10:
		return 85
	default:
		return 60
	}
}

// Check tells whether this can be a reading, in a sentence.
func (g Gloss) Check() error {
	switch {
	case g.Angle != 20 && g.Angle != 60 && g.Angle != 85:
		return fmt.Errorf("%d° is no angle of a gloss meter: choose 20°, 60° or 85°", g.Angle)
	case !(g.GU >= 0 && g.GU <= maxGU):
		return fmt.Errorf("a gloss of %g GU is out of range: it goes from 0 to %d GU", g.GU, maxGU)
	}
	return nil
}

// String writes "84.5 GU at 20°".
func (g Gloss) String() string { return fmt.Sprintf("%.4g GU at %d°", g.GU, g.Angle) }

// GlossWithin tells whether a reading is within tol gloss units of the target, ends
// included. Readings at different angles are not compared: that is an error, in a
// sentence, and so is a reading or target that can't be one.
func GlossWithin(target, reading Gloss, tol float64) (bool, error) {
	for _, g := range []Gloss{target, reading} {
		if err := g.Check(); err != nil {
			return false, err
		}
	}
	if target.Angle != reading.Angle {
		return false, fmt.Errorf("the gloss was read at %d° and is wanted at %d°: read it again at %d°", reading.Angle, target.Angle, target.Angle)
	}
	return reading.GU >= target.GU-tol && reading.GU <= target.GU+tol, nil
}
