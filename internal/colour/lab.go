package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Lab is a colour in CIE L*a*b*: L lightness from 0 to 100, A from green (−) to red
// (+), B from blue (−) to yellow (+).
type Lab struct{ L, A, B float64 }

// The range of a reading. That of A and B is what instruments and colour files
// commonly carry; ground colours of wood lie far inside it (common practice, no source).
const (
	minL, maxL   = 0, 100
	minAB, maxAB = -128, 127
)

// LabError says what is wrong with each coordinate of a colour, in a sentence, or ""
// where nothing is.
type LabError struct{ L, A, B string }

// Error is all the sentences.
func (e *LabError) Error() string {
	return strings.Join(strings.Fields(e.L+" "+e.A+" "+e.B), " ")
}

// Check tells whether the colour can be a reading; the error is a *[LabError].
func (c Lab) Check() error {
	return labError(rangeFault("L*", c.L, minL, maxL), rangeFault("a*", c.A, minAB, maxAB), rangeFault("b*", c.B, minAB, maxAB))
}

// ParseLab reads a colour typed in, with a decimal point or comma. The error is a
// *[LabError].
func ParseLab(l, a, b string) (Lab, error) {
	var c Lab
	err := labError(
		parseCoordinate("L*", l, minL, maxL, &c.L),
		parseCoordinate("a*", a, minAB, maxAB, &c.A),
		parseCoordinate("b*", b, minAB, maxAB, &c.B))
	if err != nil {
		return Lab{}, err
	}
	return c, nil
}

func labError(l, a, b string) error {
	if l+a+b == "" {
		return nil
	}
	return &LabError{L: l, A: a, B: b}
}

// parseCoordinate reads one number into to and gives a sentence when it can't be one.
func parseCoordinate(name, text string, low, high float64, to *float64) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return fmt.Sprintf("%s is empty: write a number from %g to %g.", name, low, high)
	}
	plain := strings.Trim(text, "+-−0123456789.,") == ""
	v, err := strconv.ParseFloat(strings.NewReplacer(",", ".", "−", "-").Replace(text), 64)
	if !plain || err != nil {
		return fmt.Sprintf("%s %s is no number: write one from %g to %g, such as 52.3.", name, quote(text), low, high)
	}
	*to = v
	return rangeFault(name, v, low, high)
}

func rangeFault(name string, v, low, high float64) string {
	if v >= low && v <= high {
		return ""
	}
	if math.IsNaN(v) {
		return fmt.Sprintf("%s is no number: it goes from %g to %g.", name, low, high)
	}
	return fmt.Sprintf("%s %g is out of range: it goes from %g to %g.", name, v, low, high)
}

// quote clips a text for a sentence.
func quote(s string) string {
	if r := []rune(s); len(r) > 40 {
		s = string(r[:40]) + "…"
	}
	return strconv.Quote(s)
}
