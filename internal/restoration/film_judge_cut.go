package restoration

import (
	"slices"
	"time"

	"scumble/internal/coating"
)

func (j *judgement) cutPass() {
	c := j.event.Cut
	if c == nil {
		return
	}
	before := j.film()
	j.facts.Layer = CutLayer(j.stage.Look)
	if j.stage.Look == LookOther && before.Known() {
		j.facts.Layer = coating.Clear
	}
	off, known := coating.Removal(c.Grade)
	if c.Off != nil {
		off, known = *c.Off, true
	}
	j.facts.Film = &off
	j.judgeHard(c.Grade)
	if j.facts.Layer == coating.Clear {
		if !known {
			j.warn("What a pass of %s takes off isn't known here: measure it.", c.Grade)
		}
		j.judgeCut(before, off)
	}
	j.judgeLadder(c.Grade)
}

// judgeCut warns when the pass goes near the floor or under it, and when one more like
// it would: a warning is of use before.
func (j *judgement) judgeCut(before coating.Film, off coating.Range) {
	if !before.Known() {
		j.warn("No clear is logged, so nobody knows how much may go.")
		return
	}
	policy := j.scene.Policy()
	after := coating.After(before, off, policy)
	switch {
	case j.stage.Look == LookCleared: // flatting between sessions: the clear is still built, and the floor is for the end
		if after.Edge.Low <= 0 {
			j.facts.UnderFloor = true
			j.warn("After this pass nothing of the clear may be left%s: the grain comes next. Stop and measure.", atEdges(after))
		}
	case after.BelowFloor:
		j.facts.UnderFloor = true
		j.warn("After this pass as little as %s of clear may be left%s, under the floor of %s. Stop and measure.",
			j.um(after.Edge.Low), atEdges(after), j.um(j.scene.Scheme.FloorUM))
	case after.NearFloor:
		j.warn("After this pass only %s may still go. Stop and measure.", j.um(after.MayGoUM))
	case coating.After(after, off, policy).BelowFloor:
		j.warn("After this pass only %s may still go: another like it could go under the floor. Measure first.", j.um(after.MayGoUM))
	}
}

// LastPass is the pass that a next one on a step follows: the last of those until an hour,
// where no coat went over its scratches since. False where there is none.
func LastPass(deeds []Deed, step ID, until time.Time) (Deed, bool) {
	for _, d := range slices.Backward(deeds) {
		if d.StepID != step || d.At.After(until) {
			continue
		}
		switch d.Kind {
		case KindCutPass:
			return d, true
		case KindCoat:
			return Deed{}, false
		}
	}
	return Deed{}, false
}

// LadderStep is how a pass follows the one before it.
type LadderStep struct {
	coating.GradeStep
	Coarser bool // it goes back to a coarser grade; then nothing else is judged
}

// LadderAfter judges the step from a pass to the next one; limit is the ratio of grains over
// which scratches stay. Below the clear a coarser grade is no fault: blocking goes in
// loops. False where a grade isn't known, so that nothing can be said.
func LadderAfter(last Deed, grade string, limit float64) (LadderStep, bool) {
	if coating.Coarser(last.Name, grade) {
		return LadderStep{coating.GradeStep{From: last.Name, To: grade}, true}, last.Layer == coating.Clear
	}
	steps, err := coating.Ladder([]string{last.Name, grade}, limit)
	if err != nil {
		return LadderStep{}, false
	}
	return LadderStep{GradeStep: steps[0]}, true
}

// judgeLadder points out a step between grades that leaves scratches, one that goes back to
// a coarser grade, and one that can't be judged.
func (j *judgement) judgeLadder(grade string) {
	last, ok := LastPass(j.scene.Deeds, j.event.StepID, j.event.At)
	if !ok {
		return
	}
	step, ok := LadderAfter(last, grade, j.scene.Film.GritRatio)
	switch {
	case !ok:
	case step.Coarser:
		j.warn("%s is coarser than the last pass, %s: its scratches must come out again.", capital(grade), last.Name)
	case step.TooFar && step.Ratio == 0:
		j.warn("From %s to %s is too far, even P2500 would be: scratches stay. Put a grade between.", last.Name, grade)
	case step.TooFar:
		j.warn("From %s to %s the grain falls to 1/%.1f: scratches stay. Put a grade between.", last.Name, grade, step.Ratio)
	case step.Unjudged:
		j.warn("Whether scratches of %s stay after %s can't be judged: no table prints a grain finer than P2500. Look in two lights.", last.Name, grade)
	}
}
