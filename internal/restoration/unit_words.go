package restoration

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"scumble/internal/coating"
)

// FilmWords writes a film in the shop's unit: "118 µm" or "4.65 mil"; from 10 mil on a
// tenth is enough.
func FilmWords(um float64, units Units) string { return filmWords(um, units, 0) }

// FilmsApart writes films as [FilmWords] does, but with a digit more where two that differ
// would read the same: "10.24 mil" and "10.22 mil", not "10.2 mil" twice.
func FilmsApart(um []float64, units Units) []string {
	words := make([]string, len(um))
	for i, v := range um {
		words[i] = FilmWords(v, units)
		for _, other := range um {
			if fine := filmWords(v, units, 1); FilmWords(other, units) == words[i] && filmWords(other, units, 1) != fine {
				words[i] = fine
				break
			}
		}
	}
	return words
}

// filmWords writes a film with so many digits more than are enough for one alone.
func filmWords(um float64, units Units, more int) string {
	if units != US {
		return fmt.Sprintf("%.*f µm", more, math.Round(um*math.Pow10(more))/math.Pow10(more))
	}
	switch mil := math.Abs(coating.MilFromUM(um)); {
	case mil < 0.005:
		return "0 mil"
	case mil < 9.995:
		return fmt.Sprintf("%.*f mil", 2+more, coating.MilFromUM(um))
	}
	return fmt.Sprintf("%.*f mil", 1+more, coating.MilFromUM(um))
}

// FilmSpan writes a range of film: "28–36 µm"; one figure where both ends read the same.
func FilmSpan(r coating.Range, units Units) string {
	low, high := FilmWords(r.Low, units), FilmWords(r.High, units)
	if low == high {
		return high
	}
	low, _, _ = strings.Cut(low, " ")
	return low + "–" + high
}

// VolumeWords writes an amount in the shop's unit: "820 mL" and "1.25 L", or
// "27.7 fl oz" and, from a US gallon, "1.25 US gal".
func VolumeWords(ml float64, units Units) string {
	if units != US {
		if math.Abs(ml) >= 1000 {
			return rounded(ml/1000, 2) + " L"
		}
		if math.Abs(ml) < 1 {
			return rounded(ml, 1) + " mL" // what a coat takes of a tin: some of it is not nothing
		}
		return rounded(ml, 0) + " mL"
	}
	switch oz := ml / coating.MLPerFlOz; {
	case math.Abs(oz) >= 128:
		return rounded(oz/128, 2) + " US gal"
	case math.Abs(oz) >= 9.995:
		return rounded(oz, 1) + " fl oz"
	default:
		return rounded(oz, 2) + " fl oz"
	}
}

// TempWords writes a temperature in the shop's unit, to a tenth: "18.5 °C" or "65.3 °F".
func TempWords(c float64, units Units) string {
	if units == US {
		return rounded(coating.DegreesF(c), 1) + " °F"
	}
	return rounded(c, 1) + " °C"
}

// LengthWords writes a length in the shop's unit: "63.5 mm" or "2.625 in".
func LengthWords(mm float64, units Units) string {
	if units == US {
		return rounded(mm/coating.MMPerInch, 3) + " in"
	}
	return rounded(mm, 1) + " mm"
}

// measure is how a bound of a figure is said: its unit, and how many of it make one of
// the unit that is kept, in a metric shop and in one of US units.
type measure struct {
	metric, us string
	per        float64
}

var (
	noMeasure = measure{per: 1}
	measureUM = measure{" µm", " mil", coating.MilFromUM(1)}
	measureML = measure{" mL", " fl oz", 1 / coating.MLPerFlOz}
	measureMM = measure{" mm", " in", 1 / coating.MMPerInch}
)

// least writes the least that a figure may be, rounded up to what is still inside.
func (m measure) least(v float64, units Units) string { return m.says(v, units, math.Ceil) }

// most writes the most that a figure may be, rounded down to what is still inside.
func (m measure) most(v float64, units Units) string { return m.says(v, units, math.Floor) }

func (m measure) says(v float64, units Units, inside func(float64) float64) string {
	if units != US || m.us == "" {
		return strconv.FormatFloat(v, 'f', -1, 64) + m.metric
	}
	return strconv.FormatFloat(inside(v*m.per*10)/10, 'f', -1, 64) + m.us
}

// RoomWords are the temperatures that waits are stated for where nothing else is said.
func RoomWords(units Units) string {
	if units == US {
		return "68–77 °F"
	}
	return "20–25 °C"
}

// RemarkWords says a remark about the air in the shop's unit.
func RemarkWords(r coating.Remark, units Units) string {
	if units != US {
		return r.Says
	}
	switch r.Code {
	case coating.AirCold:
		return "Air under " + TempWords(r.Limit, units)
	case coating.AirHot:
		return "Air over " + TempWords(r.Limit, units)
	case coating.SurfaceCold:
		return "Surface under " + TempWords(r.Limit, units)
	case coating.NearDew:
		if r.Have > 0 {
			return "Surface only " + rounded(r.Have*1.8, 1) + " °F above dew"
		}
	case coating.TypedInF:
		return "The " + r.Of + " at " + TempWords(r.Have, units) + "? Read it again."
	}
	return r.Says
}

// rounded writes a number to at most so many places, without zeros that carry nothing.
func rounded(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}
