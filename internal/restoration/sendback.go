package restoration

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// sendBack returns a piece to an earlier stage: from that stage on the steps of the
// current pass are superseded and open again as a new pass. What had been done
// before is rework and shares the hours that the defect costs; what had not is
// carried over with its planned hours, and is rework where it was.
func (p *Piece) sendBack(car CarState, r Route, e Event) Outcome {
	target, ok := r.Stage(e.Stage)
	position := r.Position(e.Stage)
	switch {
	case car == CarDelivered:
		return refused("The car is delivered. The owner must take it in again first.")
	case !ok:
		return refused(fmt.Sprintf("The piece's route has no stage %.60q. Choose one of its stages.", e.Stage))
	case strings.TrimSpace(e.Defect) == "":
		return refused("Name the defect that sends the piece back.")
	case !slices.ContainsFunc(p.Steps, func(s Step) bool { return s.State == StepDone }):
		return refused("Nothing has been done on the piece, so there is nothing to send back.")
	case p.Sum.NextStage != "" && position > r.Position(p.Sum.NextStage):
		return refused(fmt.Sprintf("The piece has not come as far as %s yet. Choose an earlier stage.", lower(target.Name)))
	case !p.mayGoBackTo(r, position):
		return refused(fmt.Sprintf("%s has not begun, so there is nothing to do again. Choose an earlier stage.", target.Name))
	}
	p.reopen(r, e, position)
	return applied()
}

// mayGoBackTo tells whether a stage, up to the one that comes next, may be gone back
// to: something of it has been done, or it is the cut, which takes a run or a nib of
// fresh clear away.
func (p *Piece) mayGoBackTo(r Route, position int) bool {
	next := r.Position(p.Sum.NextStage)
	return position != next || p.nextBegun() || r.Stages[position].Look == LookCut
}

func (p *Piece) nextBegun() bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.ID == p.Sum.NextStep && s.Begun() })
}

// BackStages lists the stages of its route that a piece may be sent back to.
func BackStages(p Piece, r Route) []Stage {
	if p.Sum.Reached == "" {
		return nil
	}
	last := r.Position(p.Sum.NextStage)
	if last < 0 {
		last = len(r.Stages) - 1
	}
	var stages []Stage
	for i, s := range r.Stages[:last+1] {
		if p.mayGoBackTo(r, i) {
			stages = append(stages, s)
		}
	}
	return stages
}

// reopen supersedes the current steps from position on and opens them again.
func (p *Piece) reopen(r Route, e Event, position int) {
	pass := p.LastPass() + 1
	total := p.lost(r, e)
	old := p.from(r, position)
	p.supersede(position)
	redone := redoneOf(old)
	for _, s := range old {
		n := Step{ID: e.ID.Derive(s.Stage), PieceID: p.ID, CarID: p.CarID, Stage: s.Stage, Position: s.Position,
			Pass: pass, Rework: s.Rework, Planned: s.Planned, Overtyped: s.Overtyped, State: StepOpen}
		switch {
		case s.State == StepDone:
			share := float64(max(s.Planned.Likely, 1)) / float64(redone)
			n.Rework, n.Planned, n.Overtyped = true, total.Times(share, share, share), false
		case redone == 0 && s.Position == position:
			n.Planned = n.Planned.Plus(total)
		}
		p.Steps = append(p.Steps, n)
	}
	sortSteps(p.Steps)
}

// LastPass is the number of the last pass that was opened; 0 before the piece has steps.
func (p Piece) LastPass() int {
	last := 0
	for _, s := range p.Steps {
		last = max(last, s.Pass)
	}
	return last
}

// supersede closes the current steps from position on. The hour at which a step was
// done stays on it.
func (p *Piece) supersede(position int) {
	for i := range p.Steps {
		if s := &p.Steps[i]; s.Current() && s.Position >= position {
			s.State, s.HandBy, s.HandSince = StepSuperseded, 0, time.Time{}
		}
	}
}

// NoRework says of a send-back why its hours stand in no count of rework: they make a
// stage dearer that was to be done anyway.
const NoRework = "the stage had not been done: no rework"

// Redoing says what a piece has to do again that was just sent back to a stage: "6 h to do
// again", or [NoRework] where the stage is to be done for the first time. Rework that was
// still to be done before counts with it.
func (p Piece) Redoing(stage string) string {
	if p.onlyPlanned(stage) {
		return NoRework
	}
	left := Minutes(0)
	for _, s := range p.Steps {
		if s.Current() && s.Rework {
			left += s.Left
		}
	}
	return left.Decimal() + " to do again"
}

// onlyPlanned tells whether the piece is still to go through a stage for the first time,
// so that going back to it does nothing again.
func (p Piece) onlyPlanned(stage string) bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool {
		return s.Stage == stage && s.Current() && s.State != StepDone && !s.Rework
	})
}

// from gives the current steps from position on, as a send-back finds them.
func (p *Piece) from(r Route, position int) []Step {
	old := slices.DeleteFunc(slices.Clone(p.Steps), func(s Step) bool { return !s.Current() || s.Position < position })
	if !slices.ContainsFunc(old, func(s Step) bool { return s.Position == position }) {
		old = append(old, unplanned(r, position, old))
	}
	return old
}

// redoneOf adds up what the done steps among old were planned to take; each weighs
// something, so that hours can be shared by it.
func redoneOf(old []Step) Minutes {
	redone := Minutes(0)
	for _, s := range old {
		if s.State == StepDone {
			redone += max(s.Planned.Likely, 1)
		}
	}
	return redone
}

// unplanned stands for a stage that the piece had not been planned to go through,
// such as a repair whose fault shows late. It weighs as much as all that is redone.
func unplanned(r Route, position int, old []Step) Step {
	weight := Minutes(0)
	for _, s := range old {
		if s.State == StepDone {
			weight += s.Planned.Likely
		}
	}
	return Step{Stage: r.Stages[position].Key, Position: position, State: StepDone,
		Planned: Estimate{Likely: max(weight, 60)}}
}

// lost is the labour that the send-back costs: as entered, else [HoursLost].
func (p *Piece) lost(r Route, e Event) Estimate {
	if e.Hours != nil {
		return Estimate{*e.Hours, *e.Hours, *e.Hours}
	}
	return HoursLost(*p, r, e.Defect, e.Stage)
}

// HoursLost gives the labour that it costs to send a piece back to one of its
// [BackStages], where nobody says otherwise: by the table of defects where the stage
// is the one that the defect sends to ([Defect.BackTo]), else what the stages to be
// redone were planned to take. A stage that is not on the route costs nothing.
func HoursLost(p Piece, r Route, defect, stage string) Estimate {
	if d, _ := FindDefect(defect); LostAsUsual(p, r, defect, stage) {
		return d.HoursFor(p.Size)
	}
	position := r.Position(stage)
	if position < 0 {
		return Estimate{}
	}
	redone := redoneOf(p.from(r, position))
	return Estimate{redone, redone, redone}
}

// LostAsUsual tells whether [HoursLost] are those that the table says of the defect, rather
// than what was planned.
func LostAsUsual(p Piece, r Route, defect, stage string) bool {
	d, ok := FindDefect(defect)
	return ok && d.Hours.Likely > 0 && d.BackTo(p, r) == stage
}
