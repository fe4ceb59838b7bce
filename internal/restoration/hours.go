package restoration

import (
	"slices"
	"time"
)

// minLeft is the least that an unticked step has left: work that is not ticked is never free.
const minLeft Minutes = 15

// Left gives the labour that a step has left. Settled and superseded steps have
// none. An open one has what the technician said after the last log, else the
// greatest of planned − logged, a tenth of planned, and a quarter of an hour.
func Left(s Step) Minutes {
	if s.State != StepOpen && s.State != StepInHand {
		return 0
	}
	if s.StillToGo != nil && !s.StillAt.Before(s.LastLog) {
		return *s.StillToGo
	}
	tenth := (s.Planned.Likely + 9) / 10
	return max(s.Planned.Likely-s.Logged, tenth, minLeft)
}

// Settle works out again everything that follows from the steps themselves: waits
// between them, what each has left and has earned, and the piece's sum. It is
// called after every event, and leaves a settled piece as it is.
func (p *Piece) Settle(r Route) {
	for i := range p.Steps {
		s := &p.Steps[i]
		s.Left = Left(*s)
		s.Counted, s.Earned = p.counted(*s)
		if !p.Removed.IsZero() {
			s.Left, s.Counted, s.Earned = 0, 0, 0
		}
	}
	p.settleWaits(r)
	p.settleSum(r)
}

// counted gives what a step counts for in percent done, and how much of it is
// earned. A stage of pass 1 that was done once, in whichever pass, stays earned when
// the piece is sent back: what must be done again is rework, and rework is counted
// apart.
func (p *Piece) counted(s Step) (counted, earned Minutes) {
	switch {
	case s.Pass != 1:
		return 0, 0
	case p.everDone(s.Position):
		return s.Planned.Likely, s.Planned.Likely
	case p.skippedAt(s.Position):
		return 0, 0
	}
	return s.Planned.Likely, 0
}

// everDone tells whether the stage at a position has been done in some pass.
func (p *Piece) everDone(position int) bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.Position == position && !s.DoneAt.IsZero() })
}

func (p *Piece) skippedAt(position int) bool {
	i := p.currentAt(position)
	return i >= 0 && p.Steps[i].State == StepSkipped
}

// settleWaits sets on every done step of the current pass the hours between which
// the step after it may begin.
func (p *Piece) settleWaits(r Route) {
	for i := range p.Steps {
		s := &p.Steps[i]
		s.TouchAgain, s.TooLate = time.Time{}, time.Time{}
		if s.State != StepDone {
			continue
		}
		next, ok := p.after(s.Position)
		if !ok {
			continue
		}
		stage, _ := r.Stage(next.Stage)
		s.TouchAgain = p.gate(r, s.Position, stage.Need)
		if from, waits := s.hardens(r); stage.Need == NeedRecoat && waits.MaxRecoat > 0 {
			s.TooLate = from.Add(waits.MaxRecoat.Duration())
		}
	}
}

// after finds the first step of the current pass behind position that is not skipped.
func (p *Piece) after(position int) (Step, bool) {
	for _, s := range p.Steps {
		if s.Current() && s.Position > position && s.State != StepSkipped {
			return s, true
		}
	}
	return Step{}, false
}

// gate is the hour from which need may be met after the done steps up to position:
// the latest of their waits, since an earlier stage may ask for longer (clear for
// fitting, though it was cut since). Zero when none of them asks for a wait.
func (p *Piece) gate(r Route, position int, need Need) time.Time {
	from, _ := p.longestWait(r, position, need)
	return from
}

// WaitsAfter is the done step whose wait keeps another from beginning the longest; it need
// not be the one before it. Its zero value when none asks for a wait.
func (p *Piece) WaitsAfter(r Route, s Step) Step {
	stage, _ := r.Stage(s.Stage)
	_, after := p.longestWait(r, s.Position-1, stage.Need)
	return after
}

// stillWaits says what keeps a piece after a step: a coat hardens; what was wet of something
// else dries.
func stillWaits(r Route, after Step, coat, other string) string {
	stage, _ := r.Stage(after.Stage)
	if after.CoatWaits == nil && LayerOf(stage.Look) == "" {
		coat = other
	}
	return "It still " + coat + " after " + lower(stageName(r, after.Stage))
}

func (p *Piece) longestWait(r Route, position int, need Need) (from time.Time, after Step) {
	for _, s := range p.Steps {
		if s.State != StepDone || s.Position > position {
			continue
		}
		since, waits := s.hardens(r)
		if wait := waits.For(need); wait > 0 {
			if t := since.Add(wait.Duration()); t.After(from) {
				from, after = t, s
			}
		}
	}
	return from, after
}

// hardens tells since when a done step hardens and how long it asks for: by the coat
// that was sprayed where one is logged, else by the tick and the route.
func (s Step) hardens(r Route) (since time.Time, waits Waits) {
	if s.CoatWaits != nil {
		return s.CoatedAt, *s.CoatWaits
	}
	stage, _ := r.Stage(s.Stage)
	return s.DoneAt, stage.After
}

func (p *Piece) settleSum(r Route) {
	sum := Sum{Look: LookBare}
	for _, s := range p.Steps {
		if !s.Current() {
			continue
		}
		sum.Left += s.Left
		if s.State == StepDone && sum.NextStep.IsZero() {
			stage, _ := r.Stage(s.Stage)
			sum.Look, sum.Reached = stage.Look, s.Stage
			sum.GateFrom, sum.LateFrom = s.TouchAgain, s.TooLate
		}
		if !s.Settled() && sum.NextStep.IsZero() {
			sum.NextStage, sum.NextStep = s.Stage, s.ID
		}
		sum.SentBack = sum.SentBack || s.Pass > 1 && !s.Settled()
	}
	if sum.NextStep.IsZero() || !p.Removed.IsZero() {
		sum.GateFrom, sum.LateFrom = time.Time{}, time.Time{}
	}
	p.Sum = sum
}

// Duration gives m as a time.Duration.
func (m Minutes) Duration() time.Duration { return time.Duration(m) * time.Minute }

// currentAt finds the step of the current pass at a position: its index, or −1.
func (p *Piece) currentAt(position int) int {
	for i, s := range p.Steps {
		if s.Position == position && s.Current() {
			return i
		}
	}
	return -1
}

// Footing is where the hours left of a piece stand.
type Footing string

// The footings.
const (
	FootWorkable Footing = "workable"
	FootWaiting  Footing = "waiting" // for cure or recoat
	FootHeld     Footing = "held"    // the piece, or its car
)

// Footing tells where the piece's hours left stand at now: by its next step.
func (p Piece) Footing(car CarState, now time.Time) Footing {
	return footing(car, p.Holding != nil, p.Sum.GateFrom, now)
}

func footing(car CarState, held bool, gate, now time.Time) Footing {
	switch {
	case car == CarOnHold || held:
		return FootHeld
	case gate.After(now):
		return FootWaiting
	}
	return FootWorkable
}

// FreeNow is what the next steps of the pieces that can be worked at now have left: the
// labour that may be done before anything else must be. Workable hours are all that
// these pieces have left; most of them lie behind the waits between their steps.
func FreeNow(car CarState, pieces []Piece, now time.Time) Minutes {
	var free Minutes
	for _, p := range pieces {
		if !p.Removed.IsZero() || p.Sum.NextStep.IsZero() || p.Footing(car, now) != FootWorkable {
			continue
		}
		for _, s := range p.Steps {
			if s.ID == p.Sum.NextStep {
				free += s.Left
			}
		}
	}
	return free
}

// SumUp adds up the pieces of one car as they stand at now. Removed pieces count
// only for what has been logged on them. Routes give the stages their names; a
// stage whose route is missing goes by its key.
func SumUp(car CarState, pieces []Piece, routes map[int64]Route, now time.Time) Roll {
	var sum Roll
	stages := stageSums{index: map[string]int{}}
	for _, p := range pieces {
		sum.addPiece(car, p, now)
		for _, s := range p.Steps {
			sum.addStep(s)
			stages.add(s, p, routes[p.RouteID])
		}
	}
	sum.Stages = stages.sorted()
	return sum
}

func (r *Roll) addPiece(car CarState, p Piece, now time.Time) {
	if !p.Removed.IsZero() {
		return
	}
	r.Pieces++
	if p.Sum.NextStep.IsZero() {
		r.Finished++
		return
	}
	switch p.Footing(car, now) {
	case FootHeld:
		r.Held += p.Sum.Left
	case FootWaiting:
		r.Waiting += p.Sum.Left
		if r.NextFrom.IsZero() || p.Sum.GateFrom.Before(r.NextFrom) {
			r.NextFrom = p.Sum.GateFrom
		}
	default:
		r.Workable += p.Sum.Left
	}
}

func (r *Roll) addStep(s Step) {
	r.Planned += s.Counted
	r.Earned += s.Earned
	r.Logged += s.Logged
	r.Left += s.Left
	if s.Rework {
		if !s.CarriedOver() {
			r.ReworkPlanned += s.Planned.Likely
		}
		r.ReworkLogged += s.Logged
		r.ReworkLeft += s.Left
	}
}

// Plus adds two roll-ups, stage by stage.
func (r Roll) Plus(o Roll) Roll {
	sum := r
	sum.Pieces += o.Pieces
	sum.Finished += o.Finished
	sum.Planned += o.Planned
	sum.Earned += o.Earned
	sum.Logged += o.Logged
	sum.Left += o.Left
	sum.Workable += o.Workable
	sum.Waiting += o.Waiting
	sum.Held += o.Held
	sum.ReworkPlanned += o.ReworkPlanned
	sum.ReworkLogged += o.ReworkLogged
	sum.ReworkLeft += o.ReworkLeft
	if r.NextFrom.IsZero() || !o.NextFrom.IsZero() && o.NextFrom.Before(r.NextFrom) {
		sum.NextFrom = o.NextFrom
	}
	stages := stageSums{index: map[string]int{}}
	for _, s := range r.Stages {
		stages.merge(s)
	}
	for _, s := range o.Stages {
		stages.merge(s)
	}
	sum.Stages = stages.sorted()
	return sum
}
