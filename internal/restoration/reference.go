package restoration

import (
	"fmt"
	"slices"
)

// Reference is a formula in use, with what shows that it is computed rightly: an input,
// what a published table or a hand gives for it, and the program's own answer now.
type Reference struct {
	Subject string // "Film", "Amounts", …
	Name    string
	Formula string
	Source  string
	Given   string // the input of the check
	Expect  string // its answer, to the digits printed

	Now func() string // the same, computed by the program as it runs
}

// Holds tells whether the program gives what is expected.
func (r Reference) Holds() bool { return r.Now() == r.Expect }

// References lists every formula in use, subject by subject.
func References() []Reference {
	return slices.Concat(filmReferences(), clearReferences(), amountReferences(), mixReferences(), airReferences(),
		waitReferences(), paperReferences(), colourReferences(), hourReferences())
}

const commonPractice = "common practice, no source"

// shown writes what a function answers: its number, or what it refuses.
func shown(format string) func(float64, error) string {
	return func(x float64, err error) string {
		if err != nil {
			return err.Error()
		}
		return fmt.Sprintf(format, x)
	}
}

// shownAll writes several numbers alike.
func shownAll(format string, numbers ...float64) string {
	var all string
	for i, x := range numbers {
		if i > 0 {
			all += " / "
		}
		all += fmt.Sprintf(format, x)
	}
	return all
}
