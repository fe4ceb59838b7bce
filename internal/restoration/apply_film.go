package restoration

import (
	"fmt"
	"slices"
	"strings"
)

// needy tells whether the facts ask for a written reason.
func (f *Facts) needy() bool { return f != nil && len(f.Needs) > 0 }

// gated refuses an entry whose facts ask for what it doesn't say: a reason, or a
// confirmation of a figure that looks mistyped.
func (e Event) gated() Outcome {
	f := e.Facts
	switch {
	case f == nil:
		return applied()
	case len(f.Asks) > 0 && !slices.Contains(e.Checks, CheckSure):
		return refused(strings.Join(f.Asks, " ") + " Correct it, or confirm that it is so.")
	case f.needy() && strings.TrimSpace(e.Reason) == "":
		return refused(strings.Join(f.Needs, " ") + " Put it right, or say why it is so.")
	}
	return applied()
}

// coat records what was sprayed. A coat on the step whose turn it is takes it in
// hand; one that is entered after the tick counts as well.
func (p *Piece) coat(car CarState, r Route, i int, e Event) Outcome {
	if e.Coat == nil || e.Facts == nil || e.Facts.Film == nil {
		return refused("Say what was sprayed: the material and the coat.")
	}
	if _, says := e.Coat.Fault(); says != "" {
		return refused(says)
	}
	if e.Facts.Layer == "" {
		return refused("Nothing is sprayed at this stage as a rule. Choose the material from the shop's list, so that its layer is known.")
	}
	if out := p.mayFilm(car, r, i, e); out.Result == Refused {
		return out
	}
	s := &p.Steps[i]
	if s.CoatWaits == nil || !e.At.Before(s.CoatedAt) {
		s.CoatedAt, s.CoatWaits = e.At, e.Facts.Waits
	}
	s.takeInHand(e)
	return applied()
}

// cutPass records what was sanded or polished away.
func (p *Piece) cutPass(car CarState, r Route, i int, e Event) Outcome {
	if e.Cut == nil || e.Facts == nil || e.Facts.Film == nil {
		return refused("Say with which grade it was sanded.")
	}
	if says := e.Cut.fault(); says != "" {
		return refused(says)
	}
	if e.Facts.Layer == "" {
		return refused(stageName(r, p.Steps[i].Stage) + " has no coat to sand. Enter the pass at the stage whose coat it takes off.")
	}
	if out := p.mayFilm(car, r, i, e); out.Result == Refused {
		return out
	}
	p.Steps[i].takeInHand(e)
	return applied()
}

// mayFilm judges an entry about the film on a step: the step must count, what comes
// before it must be done, and the facts must not ask for more than the entry says.
func (p *Piece) mayFilm(car CarState, r Route, i int, e Event) Outcome {
	s := p.Steps[i]
	switch {
	case s.State == StepSuperseded:
		return refused("The piece was sent back since; this pass no longer counts. Open the piece again.")
	case s.State == StepSkipped:
		return refused("The step was skipped: " + s.Reason + ". Untick it to open it again.")
	case car == CarDelivered:
		return refused("The car is delivered. The owner must take it in again first.")
	}
	for _, before := range p.Steps[:i] {
		if before.Current() && !before.Settled() {
			return refused(fmt.Sprintf("%s comes first and is not ticked yet, so nothing of %s can have been done.",
				stageName(r, before.Stage), lower(stageName(r, s.Stage))))
		}
	}
	return e.gated()
}

// takeInHand takes an open step in hand for whoever made the entry.
func (s *Step) takeInHand(e Event) {
	if s.State == StepOpen {
		s.State, s.HandBy, s.HandSince = StepInHand, e.PersonID, e.At
	}
}

// reading records what an instrument showed.
func (p *Piece) reading(e Event) Outcome {
	if e.Reading == nil {
		return refused("Say what was measured.")
	}
	if says := e.Reading.fault(); says != "" {
		return refused(says)
	}
	return e.gated()
}

// strike takes back an entry of the film. What the step's last coat is then, the
// facts say.
func (p *Piece) strike(e Event) Outcome {
	switch {
	case e.Ref.IsZero():
		return refused("Say which entry was wrong.")
	case strings.TrimSpace(e.Reason) == "":
		return refused("Say why the entry is struck out.")
	case e.Facts == nil:
		return refused("The piece has no such entry of its film, or it was struck out already. Open the piece again.")
	}
	if i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == e.Facts.StepID }); i >= 0 {
		p.Steps[i].CoatedAt, p.Steps[i].CoatWaits = e.Facts.CoatedAt, e.Facts.Waits
	}
	return applied()
}
