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
	d, on := p.lastOn(deeds, at)
	if !on {
		return time.Time{}
	}
	stage, _ := r.Stage(d.Stage)
	return d.hardFrom(stage, grade)
}

// lastOn is the last coat that stands on a piece at an hour; false: none is on.
func (p Piece) lastOn(deeds []Deed, at time.Time) (Deed, bool) {
	for _, d := range slices.Backward(deeds) {
		if d.Kind == KindCoat && !d.At.After(at) && p.current(d.StepID) {
			return d, true
		}
	}
	return Deed{}, false
}

// Softness is until when the last coat on a piece is too soft for a paper, and for a
// compound or a polish. A zero hour says that it is hard enough.
type Softness struct {
	Sand, Polish time.Time
	Under        coating.Layer // of that coat, where it is none of clear
}

// SoftnessOf tells the softness of what stands on a piece at an hour, by [HardFrom].
func SoftnessOf(p Piece, r Route, deeds []Deed, at time.Time) (s Softness) {
	hard := func(grade string) time.Time {
		if from := HardFrom(p, r, deeds, at, grade); from.After(at) {
			return from
		}
		return time.Time{}
	}
	s = Softness{Sand: hard(anyPaper), Polish: hard(anyPolish)}
	if d, on := p.lastOn(deeds, at); on && d.Layer != coating.Clear && !s.Sand.IsZero() {
		s.Under = d.Layer
	}
	return s
}

// The grades that stand for all of their kind.
const (
	anyPaper  = "P800"
	anyPolish = "polish"
)

// Until is until when no pass at all may come at a stage: not even a paper, but at
// fitting the clear is polished only. Zero: one may.
func (s Softness) Until(look Look) time.Time {
	if look == LookFitted {
		return s.Polish
	}
	return s.Sand
}

// Bars tells whether the last coat is too soft for a grade.
func (s Softness) Bars(grade string) bool {
	if coating.Polishes(grade) {
		return !s.Polish.IsZero()
	}
	return !s.Sand.IsZero()
}

// Words says until when the last coat hardens, with hours as clock writes them; "" it is
// hard. Only of clear is said what may go, since only that has a floor.
func (s Softness) Words(clock func(time.Time) string) string {
	switch {
	case s.Sand.IsZero() && s.Polish.IsZero():
		return ""
	case s.Under != "":
		return "The last coat of " + string(s.Under) + " still hardens: no sanding before " + clock(s.Sand) + "."
	case s.Sand.IsZero():
		return "The last coat still hardens: no compound or polish before " + clock(s.Polish) + "."
	case s.Polish.IsZero() || clock(s.Polish) == clock(s.Sand):
		return "The last coat still hardens: nothing may go before " + clock(s.Sand) + "."
	}
	return "The last coat still hardens: nothing may go before " + clock(s.Sand) + ", no polish before " + clock(s.Polish) + "."
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
