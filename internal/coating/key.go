package coating

import "strings"

// keyGrade is the finest paper on whose scratches another session of clear holds: clear is
// flatted at P600–P800 between sessions (common practice, no source).
const keyGrade = "P800"

var keyUM, _ = GrainSizeUM(keyGrade)

// Keys tells whether clear holds on clear that was worked with a grade last: on paper as
// coarse as P800 or coarser. A compound or a polish leaves no scratches to hold on. Of a
// grade unknown here it says yes.
func Keys(grade string) bool {
	um, err := GrainSizeUM(grade)
	if err != nil {
		return !Polishes(grade) && finer(grade) == 0
	}
	return um >= keyUM
}

// Polishes tells whether a pass of a grade is one of a compound or a polish, not of paper.
func Polishes(grade string) bool {
	switch strings.ToLower(strings.TrimSpace(grade)) {
	case "compound", "polish":
		return true
	}
	return false
}
