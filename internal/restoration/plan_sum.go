package restoration

// PlanSum is what a piece's steps were planned to take, from its first pass on.
type PlanSum struct {
	First  Minutes // of the first pass: what percent done is reckoned by
	Rework Minutes // of what send-backs made to be done again
	Since  Minutes // by which steps not done before became dearer, or cheaper, since the first pass
}

// PlanSum splits what the steps in plan add up to; First and Rework are the figures of
// [Roll].
func (p Piece) PlanSum() PlanSum {
	var roll Roll
	all := Minutes(0)
	for _, s := range p.Steps {
		roll.addStep(s)
		if p.InPlan(s) {
			all += s.Planned.Likely
		}
	}
	return PlanSum{First: roll.Planned, Rework: roll.ReworkPlanned, Since: all - roll.Planned - roll.ReworkPlanned}
}

// InPlan tells whether the planned hours of a step count: not where they stand again in
// the pass that took its place undone, and not where it was skipped for the first time or
// the piece was taken off the list.
func (p Piece) InPlan(s Step) bool {
	if s.Rework || s.State == StepSuperseded {
		return !s.CarriedOver() && (s.Rework || p.Removed.IsZero())
	}
	return s.State != StepSkipped && p.Removed.IsZero()
}
