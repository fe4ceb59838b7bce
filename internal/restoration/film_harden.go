package restoration

import (
	"slices"
	"time"

	"scumble/internal/coating"
)

// HardFrom is from when the last coat that stands on a piece at an hour is hard enough for
// a pass of a grade: to be polished for a compound or a polish, to be sanded for a paper.
// The coat says it by its own waits, by those of its stage where it says none; the step
// that comes next waits by the same coat. Zero: no coat is on.
func HardFrom(p Piece, r Route, deeds []Deed, at time.Time, grade string) time.Time {
	for _, d := range slices.Backward(deeds) {
		if d.Kind != KindCoat || d.At.After(at) || !p.current(d.StepID) {
			continue
		}
		stage, _ := r.Stage(d.Stage)
		return d.hardFrom(stage, grade)
	}
	return time.Time{}
}

// hardFrom is from when a coat of a stage is hard enough for a pass of a grade.
func (d Deed) hardFrom(s Stage, grade string) time.Time {
	wait := s.After.hardFor(grade)
	if d.Waits != nil && d.Waits.hardFor(grade) > 0 {
		wait = d.Waits.hardFor(grade)
	}
	return d.At.Add(wait.Duration())
}

// hardFor is the wait before a pass of a grade: the one before polishing counts where it
// is said, that before sanding else.
func (w Waits) hardFor(grade string) Minutes {
	if coating.Polishes(grade) && w.Polish > 0 {
		return w.Polish
	}
	return w.Sand
}

// judgeHard asks for a reason where a pass comes before the coats under it have hardened:
// soft clear clogs the paper, tears and shrinks after (common practice, no source).
func (j *judgement) judgeHard(grade string) {
	from := HardFrom(j.piece, j.route, j.scene.Deeds, j.event.At, grade)
	if !j.event.At.Before(from) {
		return
	}
	work := "sanding"
	if coating.Polishes(grade) {
		work = "polishing"
	}
	j.need("The last coat still hardened: %s was allowed %s later.", work, span(from.Sub(j.event.At)))
}
