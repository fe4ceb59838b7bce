package restoration

import (
	"slices"
	"strings"
	"time"
)

// HardFrom is from when the last coat that stands on a piece at an hour is hard enough for
// a pass of a grade: to be polished for a compound or a polish, to be sanded for a paper.
// The coat says it by its own waits, by those of its stage where it says none; the step
// that comes next waits by the same coat. Zero: at once.
func HardFrom(p Piece, r Route, deeds []Deed, at time.Time, grade string) time.Time {
	for _, d := range slices.Backward(deeds) {
		if d.Kind != KindCoat || d.At.After(at) || !p.current(d.StepID) {
			continue
		}
		stage, _ := r.Stage(d.Stage)
		wait := stage.After.hardFor(grade)
		if d.Waits != nil && d.Waits.hardFor(grade) > 0 {
			wait = d.Waits.hardFor(grade)
		}
		if wait == 0 {
			return time.Time{}
		}
		return d.At.Add(wait.Duration())
	}
	return time.Time{}
}

// hardFor is the wait before a pass of a grade: the one before polishing counts where it
// is said, that before sanding else.
func (w Waits) hardFor(grade string) Minutes {
	if Polishes(grade) && w.Polish > 0 {
		return w.Polish
	}
	return w.Sand
}

// Polishes tells whether a pass of a grade is one of a compound or a polish, not of paper.
func Polishes(grade string) bool {
	switch strings.ToLower(strings.TrimSpace(grade)) {
	case "compound", "polish":
		return true
	}
	return false
}

// judgeHard asks for a reason where a pass comes before the coats under it have hardened:
// soft clear clogs the paper, tears and shrinks after (common practice, no source).
func (j *judgement) judgeHard(grade string) {
	from := HardFrom(j.piece, j.route, j.scene.Deeds, j.event.At, grade)
	if !j.event.At.Before(from) {
		return
	}
	work := "sanding"
	if Polishes(grade) {
		work = "polishing"
	}
	j.need("The last coat still hardened: %s was allowed %s later.", work, span(from.Sub(j.event.At)))
}
