package restoration

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Minutes is labour or waiting time in whole minutes, so that sums are exact.
type Minutes int

// MaxEntry is the longest time that one entry may log: a day.
const MaxEntry = 24 * 60 * Minutes(1)

// Hours gives m in hours.
func (m Minutes) Hours() float64 { return float64(m) / 60 }

// String writes m as a span: "45 min", "2 h", "2 h 20 min", "3 d 4 h".
func (m Minutes) String() string {
	if m < 0 {
		return "-" + (-m).String()
	}
	d, h, min := m/(24*60), m/60%24, m%60
	var parts []string
	if d > 0 {
		parts = append(parts, fmt.Sprintf("%d d", int(d)))
	}
	if h > 0 {
		parts = append(parts, fmt.Sprintf("%d h", int(h)))
	}
	if min > 0 && d == 0 || len(parts) == 0 {
		parts = append(parts, fmt.Sprintf("%d min", int(min)))
	}
	return strings.Join(parts, " ")
}

// Decimal writes m as labour is written: "0.5 h", "1.25 h".
func (m Minutes) Decimal() string {
	return strconv.FormatFloat(math.Round(m.Hours()*100)/100, 'f', -1, 64) + " h"
}

// FromHours rounds hours to the nearest minute. It refuses what is no number,
// negative, or beyond 100,000 h.
func FromHours(h float64) (Minutes, error) {
	switch {
	case math.IsNaN(h) || math.IsInf(h, 0):
		return 0, errors.New("hours must be a number")
	case h < 0:
		return 0, fmt.Errorf("hours must not be negative, got %g", h)
	case h > 100_000:
		return 0, fmt.Errorf("%g hours are more than a shop works in a lifetime; check the decimal point", h)
	}
	return Minutes(math.Round(h * 60)), nil
}

// Estimate is a three-point estimate of labour.
type Estimate struct {
	Low    Minutes `json:"low_min"`
	Likely Minutes `json:"likely_min"`
	High   Minutes `json:"high_min"`
}

// Hours3 makes an estimate from hours; it is for tables written in code.
func Hours3(low, likely, high float64) Estimate {
	round := func(h float64) Minutes { return Minutes(math.Round(h * 60)) }
	return Estimate{round(low), round(likely), round(high)}
}

// Valid tells whether 0 ≤ low ≤ likely ≤ high.
func (e Estimate) Valid() bool { return 0 <= e.Low && e.Low <= e.Likely && e.Likely <= e.High }

// Plus adds point by point.
func (e Estimate) Plus(o Estimate) Estimate {
	return Estimate{e.Low + o.Low, e.Likely + o.Likely, e.High + o.High}
}

// Times multiplies each point by its factor and rounds to the minute.
func (e Estimate) Times(low, likely, high float64) Estimate {
	f := func(m Minutes, x float64) Minutes { return Minutes(math.Round(float64(m) * x)) }
	return Estimate{f(e.Low, low), f(e.Likely, likely), f(e.High, high)}
}

// Mean is the three-point mean (l + 4m + h) / 6 in minutes (Malcolm, Roseboom,
// Clark & Fazar, Operations Research 7(5), 1959).
func (e Estimate) Mean() float64 { return (float64(e.Low) + 4*float64(e.Likely) + float64(e.High)) / 6 }

// StdDev is the three-point standard deviation (h − l) / 6 in minutes, of the same source.
func (e Estimate) StdDev() float64 { return float64(e.High-e.Low) / 6 }
