package coating

import "math"

// SpotCheck is one spot of an [Acceptance].
type SpotCheck struct {
	MeanUM float64
	Passes bool
}

// Acceptance is the judgement of one area by SSPC-PA 2. Films are in the unit given.
type Acceptance struct {
	SpotMin, SpotMax float64 // what a spot may measure; SpotMax +Inf where unrestricted
	AreaMin, AreaMax float64 // what the mean of the spots may be
	Spots            []SpotCheck
	AreaMean         float64
	AreaPasses       bool
	Passes           bool // area and every spot
	FewSpots         bool // the rule asks for five spots an area; these are fewer
}

// SpotsPerArea is how many spots make a measurement of an area (SSPC-PA 2).
const SpotsPerArea = 5

// DefaultLevel is the restriction level that holds where none is agreed (SSPC-PA 2).
const DefaultLevel = 3

// Accept judges the spots of one area, each a list of at least three readings, against
// a specified minimum and maximum film by a restriction level of SSPC-PA 2, from 1 (no
// deviation) to 5. Single readings are not restricted. Levels 1 and 3 are confirmed by
// published examples; 2, 4 and 5 are from memory.
func Accept(spots [][]float64, minimum, maximum float64, level int) (Acceptance, error) {
	a, err := acceptanceLimits(minimum, maximum, level)
	if err != nil {
		return Acceptance{}, err
	}
	if len(spots) == 0 {
		return Acceptance{}, faultf("spots", "No spot was measured. Measure five spots an area.")
	}
	a.Passes, a.FewSpots = true, len(spots) < SpotsPerArea
	for i, readings := range spots {
		if len(readings) < ReadingsPerSpot {
			return Acceptance{}, faultf("spots", "Spot %d has %d readings, a spot needs at least %d (SSPC-PA 2). Take more.", i+1, len(readings), ReadingsPerSpot)
		}
		var sum float64
		for _, r := range readings {
			if err := notNegative("spots", "A reading", r); err != nil {
				return Acceptance{}, err
			}
			sum += r
		}
		s := SpotCheck{MeanUM: sum / float64(len(readings))}
		s.Passes = a.SpotMin <= s.MeanUM && s.MeanUM <= a.SpotMax
		a.Passes = a.Passes && s.Passes
		a.Spots = append(a.Spots, s)
		a.AreaMean += s.MeanUM / float64(len(spots))
	}
	a.AreaPasses = a.AreaMin <= a.AreaMean && a.AreaMean <= a.AreaMax
	a.Passes = a.Passes && a.AreaPasses
	return a, nil
}

func acceptanceLimits(minimum, maximum float64, level int) (Acceptance, error) {
	if err := firstOf(notNegative("min", "The least film", minimum), positive("max", "The greatest film", maximum)); err != nil {
		return Acceptance{}, err
	}
	if minimum > maximum {
		return Acceptance{}, faultf("min", "The least film of %g is above the greatest of %g. Swap them.", minimum, maximum)
	}
	a := Acceptance{SpotMin: 0.8 * minimum, SpotMax: 1.2 * maximum, AreaMin: minimum, AreaMax: maximum}
	switch level {
	case 1:
		a.SpotMin, a.SpotMax = minimum, maximum
	case 2:
		a.SpotMin = minimum
	case 3:
	case 4:
		a.SpotMax = 1.5 * maximum
	case 5:
		a.SpotMax, a.AreaMax = math.Inf(1), math.Inf(1)
	default:
		return Acceptance{}, faultf("level", "The restriction levels are 1 to 5, got %d. Where none was agreed it is 3.", level)
	}
	return a, nil
}

// Counts is how much SSPC-PA 2 asks to be measured.
type Counts struct{ Areas, Spots, Readings int }

// CountsFT2 is how many areas, spots and readings (at least) SSPC-PA 2 asks for on a
// coated area in ft², the unit its text counts in: every 100 ft² up to 300, three areas
// up to 1,000, and one more for each further 1,000 or part of it.
func CountsFT2(area float64) (Counts, error) {
	if err := positive("area_ft2", "The area", area); err != nil {
		return Counts{}, err
	}
	if area > 1e9 {
		return Counts{}, faultf("area_ft2", "%g ft² is no piece's area. Look at the decimal point.", area)
	}
	areas := min(3, int(math.Ceil(area/100)))
	if area > 1000 {
		areas += int(math.Ceil((area - 1000) / 1000))
	}
	return Counts{areas, areas * SpotsPerArea, areas * SpotsPerArea * ReadingsPerSpot}, nil
}
