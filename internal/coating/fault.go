package coating

import (
	"fmt"
	"math"
)

// Fault is something typed that can't be right. It is the error of every function
// here: a field to stand beside, and a sentence that says what is wrong and what to do.
type Fault struct {
	Field string // the input's name, as in the JSON of a [Material]; "parts[1].share" for one of a list
	Says  string
	InUS  string // the sentence in US units; "" where it names no measure
}

// Error gives the sentence, in metric units.
func (f *Fault) Error() string { return f.Says }

// Words gives the sentence in US units, or in metric ones.
func (f *Fault) Words(us bool) string {
	if us && f.InUS != "" {
		return f.InUS
	}
	return f.Says
}

func faultf(field, format string, args ...any) *Fault {
	return &Fault{Field: field, Says: fmt.Sprintf(format, args...)}
}

// finite tells whether x is a number that can be counted with.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// notNegative refuses what is no number or below zero. what begins the sentence.
func notNegative(field, what string, x float64) error {
	switch {
	case !finite(x):
		return faultf(field, "%s is not a number. Type it again.", what)
	case x < 0:
		return faultf(field, "%s can't be negative, got %g. Type it again.", what, x)
	}
	return nil
}

// positive refuses what is no number, zero or below.
func positive(field, what string, x float64) error {
	if finite(x) && x == 0 {
		return faultf(field, "%s is missing or zero. Type what was measured.", what)
	}
	return notNegative(field, what, x)
}

// percentFrom is where a figure meant as a fraction is taken for a percentage; nearer
// to 1 it is rather a slip of the pen.
const percentFrom = 2

// fraction refuses what is not from 0 to 1; a percentage is told how to be written.
func fraction(field, what string, x float64) error {
	switch {
	case !finite(x):
		return faultf(field, "%s is not a number. Write a fraction from 0 to 1.", what)
	case x > percentFrom && x <= 100:
		return faultf(field, "%s is a fraction from 0 to 1, got %g. For %g %% write %g.", what, x, x, x/100)
	case x < 0 || x > 1:
		return faultf(field, "%s is a fraction from 0 to 1, got %g. Look at the data sheet again.", what, x)
	}
	return nil
}

// share is a fraction that can't be zero.
func share(field, what string, x float64) error {
	if x == 0 {
		return faultf(field, "%s is missing or zero. Write a fraction above 0 and up to 1.", what)
	}
	return fraction(field, what, x)
}

// firstOf gives the first error, or nil.
func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// counted refuses a result too large to be a number.
func counted(field string, x float64) (float64, error) {
	if !finite(x) {
		return 0, faultf(field, "The result is too large to be one. Look at the decimal points.")
	}
	return x, nil
}
