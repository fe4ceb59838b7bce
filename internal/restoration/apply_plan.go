package restoration

import (
	"cmp"
	"fmt"
	"slices"
)

// replan changes planned hours. An event that names a step changes that one only;
// else the plan is the piece's whole plan on its route, or on a new route as long
// as nothing has begun. Typed hours and settled steps stay as they are.
func (p *Piece) replan(r Route, e Event) Outcome {
	if !e.StepID.IsZero() {
		return p.overtype(e)
	}
	p.Size = cmp.Or(e.Size, p.Size)
	if r.ID != p.RouteID {
		return p.reroute(r, e)
	}
	steps, out := planSteps(*p, r, e)
	if out.Result == Refused {
		return out
	}
	for _, s := range steps {
		if out := p.replanStage(s); out.Result == Refused {
			return out
		}
	}
	p.Steps = slices.DeleteFunc(p.Steps, func(s Step) bool {
		planned := slices.ContainsFunc(steps, func(n Step) bool { return n.Stage == s.Stage })
		return !planned && s.State == StepOpen && s.Pass == 1 && s.Logged == 0
	})
	sortSteps(p.Steps)
	return applied()
}

func (p *Piece) replanStage(planned Step) Outcome {
	i := p.currentAt(planned.Position)
	if i >= 0 {
		s := &p.Steps[i]
		if !s.Settled() && !s.Overtyped && s.Pass == 1 {
			s.Planned = planned.Planned
		}
		return applied()
	}
	for _, s := range p.Steps {
		if s.Current() && s.Position > planned.Position && s.Begun() {
			return refused(fmt.Sprintf("%s would come before a step that has begun. Send the piece back to it instead.", planned.Stage))
		}
	}
	p.Steps = append(p.Steps, planned)
	return applied()
}

// overtype sets the planned hours of one step by hand.
func (p *Piece) overtype(e Event) Outcome {
	i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == e.StepID })
	switch {
	case i < 0 || len(e.Plan) != 1:
		return refused("The piece has no such step. Open the piece again.")
	case !p.Steps[i].Current() || p.Steps[i].Settled():
		return refused("The step is no longer open, so its planned hours stay.")
	case !e.Plan[0].Hours.Valid():
		return refused("The hours must go up from low to likely to high.")
	case e.Plan[0].Hours.High > MaxStillToGo:
		return refused("The hours must be from 0 to 1,000.")
	}
	p.Steps[i].Planned, p.Steps[i].Overtyped = e.Plan[0].Hours, true
	return applied()
}

// reroute puts a piece on another route, while nothing has begun.
func (p *Piece) reroute(r Route, e Event) Outcome {
	for _, s := range p.Steps {
		if s.Begun() || s.Logged > 0 || s.Pass > 1 {
			return refused("Work has begun, so the piece keeps the route it was started with.")
		}
	}
	steps, out := planSteps(*p, r, e)
	if out.Result == Refused {
		return out
	}
	if len(steps) == 0 {
		return refused("The route has no stage for this piece.")
	}
	p.Steps, p.RouteID = steps, r.ID
	return applied()
}
