package restoration

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxName is the longest name of a person, tablet, route or stage, in signs.
const MaxName = 60

// TidyName takes blanks off the ends, makes runs of blanks one, and drops signs
// that can't be seen, so that two names that look alike are the same.
func TidyName(s string) string {
	seen := strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if r == utf8.RuneError || unicode.IsControl(r) {
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(seen), " ")
}

// CheckName refuses a name that is empty or too long once tidied; whose says whose
// name it is ("A tablet").
func CheckName(field, whose, name string) *Problem {
	switch n := utf8.RuneCountInString(TidyName(name)); {
	case n == 0:
		return Problemf(TroubleInvalid, field, "%s needs a name: type 1 to %d characters.", whose, MaxName)
	case n > MaxName:
		return Problemf(TroubleInvalid, field, "%s has a name of at most %d characters; this one has %d.", whose, MaxName, n)
	}
	return nil
}
