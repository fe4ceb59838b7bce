package restoration

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

func (p *Piece) applyToStep(car CarState, r Route, e Event) Outcome {
	i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == e.StepID })
	if i < 0 {
		return refused("The piece has no such step. It may have been planned anew since: open the piece again.")
	}
	switch e.Kind {
	case KindTick:
		return p.tick(car, r, i, e)
	case KindUntick:
		return p.untick(i, e)
	case KindStart:
		return p.start(car, r, i, e)
	case KindPause:
		return p.pause(i, e)
	case KindCorrect:
		return p.correctTime(i, e)
	case KindSkip:
		return p.skip(i, e)
	case KindLogTime:
		return p.logTime(i, e)
	case KindCoat:
		return p.coat(car, r, i, e)
	case KindCutPass:
		return p.cutPass(car, r, i, e)
	default:
		return p.stillToGo(i, e)
	}
}

// tick marks a step done. Whoever ticks a step that is done already is told so, and
// the hours entered are kept.
func (p *Piece) tick(car CarState, r Route, i int, e Event) Outcome {
	s := &p.Steps[i]
	if s.State == StepDone {
		s.log(e)
		reason := fmt.Sprintf("%s ticked this already, %s.", named(s.DoneName), apart(s.DoneAt, e.At))
		if e.Hours != nil && s.DoneBy != e.PersonID {
			reason += " The hours of both count; the owner can correct them."
		}
		return already(reason)
	}
	if out := p.mayBegin(car, r, i, e); out.Result == Refused {
		return out
	}
	stage, _ := r.Stage(s.Stage)
	if missing := unanswered(stage.Checks, e.Checks); missing != "" {
		return refused("Answer first: " + missing)
	}
	if out := e.gated(); out.Result == Refused {
		return out
	}
	s.log(e)
	if p.against(s.Position, e) || e.Facts.needy() {
		s.Reason = s.why(e)
	}
	s.State, s.DoneAt, s.DoneBy = StepDone, e.At, e.PersonID
	s.StillToGo, s.StillAt = nil, time.Time{}
	s.HandBy, s.HandSince = 0, time.Time{}
	return applied()
}

// haveInHand is what a person is told who takes a step in hand again: the ledger keeps it,
// and their clock goes on.
const haveInHand = "You have it in hand."

// start takes a step in hand.
func (p *Piece) start(car CarState, r Route, i int, e Event) Outcome {
	s := &p.Steps[i]
	if s.State == StepDone {
		return already(fmt.Sprintf("%s ticked this already, %s.", named(s.DoneName), apart(s.DoneAt, e.At)))
	}
	if out := p.mayBegin(car, r, i, e); out.Result == Refused {
		return out
	}
	if s.State == StepInHand && s.HandBy == e.PersonID {
		return already(haveInHand)
	}
	if p.against(s.Position, e) {
		s.Reason = s.why(e)
	}
	s.State, s.HandBy, s.HandSince = StepInHand, e.PersonID, e.At
	return applied()
}

// why is the written reason for which the step is worked against a wait: the event's
// own, else the one for which it was taken in hand.
func (s Step) why(e Event) string {
	if own := strings.TrimSpace(e.Reason); own != "" || s.State != StepInHand {
		return own
	}
	return s.Reason
}

// mayBegin refuses a step whose turn it isn't, with the hour where waiting helps.
func (p *Piece) mayBegin(car CarState, r Route, i int, e Event) Outcome {
	s := p.Steps[i]
	switch {
	case s.State == StepSuperseded:
		return refused("The piece was sent back since; this pass no longer counts. Open the piece again.")
	case s.State == StepSkipped:
		return refused("The step was skipped: " + s.Reason + ". Untick it to open it again.")
	case car == CarDelivered:
		return refused("The car is delivered. The owner must take it in again first.")
	case car == CarOnHold:
		return refused("The car is on hold. The owner must release it first.")
	case p.Holding != nil:
		return refused("The piece is on hold: " + p.Holding.Reason + ". Release it first.")
	}
	for _, before := range p.Steps[:i] {
		if before.Current() && !before.Settled() {
			return refused(fmt.Sprintf("%s comes first and is not ticked yet.", stageName(r, before.Stage)))
		}
	}
	return p.mayTouch(r, s, e)
}

// mayTouch judges the wait before the step, and the recoat window. Coats that are
// logged on the step were judged by that window when they came.
func (p *Piece) mayTouch(r Route, s Step, e Event) Outcome {
	before, ok := p.doneBefore(s.Position)
	if !ok {
		return applied()
	}
	if e.At.Before(before.TouchAgain) && s.why(e) == "" {
		out := refused(fmt.Sprintf("Not yet: %s may begin in %s. %s.",
			lower(stageName(r, s.Stage)), spanUp(before.TouchAgain.Sub(e.At)), stillWaits(r, p.WaitsAfter(r, s), "hardens", "dries")))
		out.AllowedFrom = before.TouchAgain
		return out
	}
	if s.CoatWaits == nil && !before.TooLate.IsZero() && e.At.After(before.TooLate) && !slices.Contains(e.Checks, CheckScuffed) {
		return refused(fmt.Sprintf("The recoat window shut %s ago. Scuff the surface, then confirm that it is scuffed.",
			span(e.At.Sub(before.TooLate))))
	}
	return applied()
}

// against tells whether the event works against the wait before the step.
func (p *Piece) against(position int, e Event) bool {
	before, ok := p.doneBefore(position)
	return ok && e.At.Before(before.TouchAgain)
}

// doneBefore finds the last done step of the current pass before position.
func (p *Piece) doneBefore(position int) (Step, bool) {
	for i := len(p.Steps) - 1; i >= 0; i-- {
		if s := p.Steps[i]; s.State == StepDone && s.Position < position {
			return s, true
		}
	}
	return Step{}, false
}

// MayUntick tells whether a step may be opened again: it is done or skipped, counts still,
// and no later one has begun.
func (p Piece) MayUntick(s Step) bool {
	return p.Removed.IsZero() && s.Current() && s.Settled() && !p.begunAfter(s.Position)
}

// begunAfter tells whether a step of the current pass behind a position has begun.
func (p Piece) begunAfter(position int) bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.Current() && s.Position > position && s.Begun() })
}

// untick opens a done or skipped step again while no later one has begun. Hours that
// the event names are taken back; without them what was logged stays logged.
func (p *Piece) untick(i int, e Event) Outcome {
	s := &p.Steps[i]
	if s.State == StepSuperseded {
		return refused("The piece was sent back since; this pass no longer counts.")
	}
	if !s.Settled() {
		return already("The step is open already.")
	}
	if p.begunAfter(s.Position) {
		return refused("A later step has begun, so this one can't be unticked. Send the piece back instead.")
	}
	if e.Hours != nil && *e.Hours > s.Logged {
		return refused(fmt.Sprintf("Only %s are logged on the step, so %s can't be taken back.", s.Logged.Decimal(), e.Hours.Decimal()))
	}
	if e.Hours != nil {
		s.Logged -= *e.Hours
	}
	s.State, s.DoneAt, s.DoneBy, s.Reason = StepOpen, time.Time{}, 0, ""
	return applied()
}

// skip leaves a step out, with a reason.
func (p *Piece) skip(i int, e Event) Outcome {
	s := &p.Steps[i]
	reason := strings.TrimSpace(e.Reason)
	switch {
	case s.State == StepSkipped:
		return already("The step is skipped already: " + s.Reason)
	case s.State == StepDone:
		return refused("The step is done. Untick it first.")
	case s.State == StepSuperseded:
		return refused("The piece was sent back since; this pass no longer counts.")
	case reason == "":
		return refused("Say why the step is skipped.")
	}
	s.State, s.Reason = StepSkipped, reason
	s.HandBy, s.HandSince = 0, time.Time{}
	return applied()
}

// logTime adds hours to a step, whatever its state: work that was done stays done.
// Hours on the step whose turn it is take it in hand.
func (p *Piece) logTime(i int, e Event) Outcome {
	if e.Hours == nil {
		return refused(sayHowLong)
	}
	s := &p.Steps[i]
	s.log(e)
	if s.State == StepOpen && p.turn(i) {
		s.State, s.HandBy, s.HandSince = StepInHand, e.PersonID, e.At
	}
	if e.StillToGo != nil {
		return p.stillToGo(i, e)
	}
	return applied()
}

// turn tells whether every earlier step of the current pass is settled.
func (p *Piece) turn(i int) bool {
	return !slices.ContainsFunc(p.Steps[:i], func(s Step) bool { return s.Current() && !s.Settled() })
}

// stillToGo takes the technician's own word for what is left.
func (p *Piece) stillToGo(i int, e Event) Outcome {
	s := &p.Steps[i]
	switch {
	case e.StillToGo == nil:
		return refused("Say how much is still to go, in hours.")
	case s.State != StepOpen && s.State != StepInHand:
		return refused("The step is not open, so nothing is left of it.")
	case *e.StillToGo == 0:
		return refused("If nothing is left, tick the step.")
	}
	if s.StillToGo == nil || !e.At.Before(s.StillAt) {
		s.StillToGo, s.StillAt = e.StillToGo, e.At
	}
	return applied()
}

// log adds the event's hours. A late entry doesn't take the place of a later one.
func (s *Step) log(e Event) {
	if e.Hours == nil {
		return
	}
	s.Logged += *e.Hours
	if e.At.After(s.LastLog) {
		s.LastLog = e.At
	}
}

// unanswered names the first check without an answer.
func unanswered(checks []Check, answered []string) string {
	for _, c := range checks {
		if !slices.Contains(answered, c.Key) {
			return c.Text
		}
	}
	return ""
}

func stageName(r Route, key string) string {
	if s, ok := r.Stage(key); ok {
		return s.Name
	}
	return key
}

func lower(s string) string { return strings.ToLower(s) }

func named(name string) string {
	if name == "" {
		return "Somebody"
	}
	return name
}

// apart says how far an earlier event lies from now.
func apart(then, now time.Time) string {
	d := now.Sub(then)
	switch {
	case d < -time.Minute:
		return span(-d) + " after this"
	case d < time.Minute:
		return "at the same time"
	}
	return span(d) + " before"
}
