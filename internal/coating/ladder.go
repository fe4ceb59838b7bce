package coating

import (
	"slices"
	"strings"
)

// LadderLimit is the ratio of grain sizes over which a paper leaves scratches that the
// next one doesn't take out. Common practice, no source; the shop may set its own.
const LadderLimit = 2.0

// GradeStep is a step from one grade to the next of a ladder.
type GradeStep struct {
	From, To string
	Ratio    float64 // grain size of from ÷ that of to; 0 when one of them isn't in the tables
	TooFar   bool    // the ratio is over the limit, or would be with the finest grade of the tables
	Unjudged bool    // to a paper finer than the tables, so that nobody knows the ratio
}

// Ladder judges the steps of a ladder of grades from coarse to fine. Compound, polish
// and grades finer than the tables (P3000 to P5000) may end it: their steps have no
// ratio, and are too far where even the finest grade of the tables would be; what then
// remains of steps to such papers can't be judged. Refused: fewer than two grades, one
// that can't be read, one coarser than the grade before it, a limit that is not above 1.
func Ladder(grades []string, limit float64) ([]GradeStep, error) {
	if len(grades) < 2 {
		return nil, faultf("grades", "A ladder has at least two grades. Add the next one.")
	}
	if !finite(limit) || limit <= 1 {
		return nil, faultf("limit", "The limit of a step is a ratio above 1, such as 2, got %g.", limit)
	}
	sizes := make([]float64, len(grades))
	for i, g := range grades {
		um, err := ladderGrain(g)
		if err != nil {
			return nil, err
		}
		sizes[i] = um
	}
	steps := make([]GradeStep, 0, len(grades)-1)
	for i := 1; i < len(grades); i++ {
		s := GradeStep{From: grades[i-1], To: grades[i]}
		if sizes[i-1] > 0 && sizes[i] > 0 {
			s.Ratio = sizes[i-1] / sizes[i]
			s.TooFar = s.Ratio > limit
		} else if sizes[i-1] > 0 {
			s.TooFar = sizes[i-1]/pGrains[len(pGrains)-1].um > limit
		}
		s.Unjudged = !s.TooFar && finer(s.To) > 0 && (sizes[i-1] > 0 || finer(s.From) > 0)
		if Coarser(s.From, s.To) {
			return nil, faultf("grades", "%s after %s goes back to a coarser grade. Put the coarsest first.", s.To, s.From)
		}
		steps = append(steps, s)
	}
	return steps, nil
}

// ladderGrain is the grain size in µm of a grade that a ladder may have; 0 where no table
// prints it. Refused: what is none.
func ladderGrain(grade string) (float64, error) {
	um, err := GrainSizeUM(grade)
	if _, known := Removal(grade); known || finer(grade) > 0 {
		err = nil
	}
	return um, err
}

// Coarser tells whether a grade goes back from the one before it: a paper of larger grain,
// or any paper after compound or polish. False where one of the two can't be read, and
// between compound and polish.
func Coarser(before, grade string) bool {
	was, errWas := ladderGrain(before)
	is, errIs := ladderGrain(grade)
	if errWas != nil || errIs != nil {
		return false
	}
	paper := is > 0 || finer(grade) > 0
	switch {
	case was > 0:
		return is > was
	case finer(before) > 0:
		return is > 0 || paper && finer(grade) < finer(before)
	}
	return paper
}

// removals are the films that one pass takes off clear, from memory. The first paper
// takes what the valleys of the orange peel ask for, each later one only the scratches
// before it; two people differ by a factor of 2. The shop's own record beats them.
var removals = []struct {
	grade string
	off   Range
}{
	{"P800", Range{8, 12, 15}},
	{"P1000", Range{5, 7, 10}},
	{"P1200", Range{3, 4.5, 6}},
	{"P1500", Range{3, 4.5, 6}},
	{"P2000", Range{1, 2, 3}},
	{"P3000", Range{.5, 1, 1.5}},
	{"COMPOUND", Range{2, 2.7, 4}}, // published: 2.5–3
	{"POLISH", Range{.3, .5, 1}},
}

// Removal is the film in µm that one pass of a grade takes off clear: a P grade from
// P800 to P3000, "compound" or "polish". A US grade is taken as the P grade of the same
// grain size. False for a grade without a figure.
func Removal(grade string) (Range, bool) {
	key := strings.ToUpper(strings.Join(strings.Fields(grade), ""))
	if um, err := GrainSizeUM(grade); err == nil {
		i := slices.IndexFunc(pGrains, func(g grain) bool { return g.um == um })
		if i < 0 {
			return Range{}, false
		}
		key = "P" + pGrains[i].grade
	}
	for _, r := range removals {
		if r.grade == key {
			return r.off, true
		}
	}
	return Range{}, false
}

// LadderRemoval adds up what the passes of a ladder take off, one pass a grade. It is
// refused when a grade has no figure.
func LadderRemoval(grades []string) (Range, error) {
	var sum Range
	for _, g := range grades {
		off, ok := Removal(g)
		if !ok {
			return Range{}, faultf("grades", "What a pass of %.20q takes off isn't known here. Type the film it takes, or pick a grade from P800 to P3000.", g)
		}
		sum = sum.Plus(off)
	}
	return sum, nil
}
