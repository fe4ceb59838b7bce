package restoration

import "time"

// StepState is where a step stands.
type StepState string

// The states of a step.
const (
	StepOpen       StepState = "open"
	StepInHand     StepState = "in hand"
	StepDone       StepState = "done"
	StepSkipped    StepState = "skipped"
	StepSuperseded StepState = "superseded"
)

// Step is one stage of one piece, one pass.
type Step struct {
	ID        ID
	PieceID   ID
	CarID     int64
	Stage     string // key in the piece's route
	Position  int    // index in the route
	Pass      int    // from 1; a send-back opens the next
	Rework    bool   // does again what had been done
	Planned   Estimate
	Overtyped bool // planned hours were typed, not computed
	Logged    Minutes
	LastLog   time.Time
	StillToGo *Minutes // the technician's own word
	StillAt   time.Time
	State     StepState
	HandBy    int64 // person who has it in hand
	HandSince time.Time
	DoneAt    time.Time // kept when a done step is superseded
	DoneBy    int64
	// TouchAgain is the hour from which the following step may begin; TooLate
	// the hour at which its recoat window shuts. Zero: none.
	TouchAgain, TooLate time.Time
	Reason              string // why it was skipped, or ticked against a wait or a gate

	// CoatedAt is when the last coat was sprayed on it, CoatWaits what that coat asks
	// for: they take the place of DoneAt and of the route's waits. Nil: no coat logged.
	CoatedAt  time.Time
	CoatWaits *Waits

	// Figures that the roll-up adds up; see hours.go.
	Left    Minutes
	Counted Minutes // planned of pass 1, of what is not skipped
	Earned  Minutes // the part of Counted that is done

	// Names of HandBy and DoneBy, where the reader has looked them up. They are no
	// part of the projection.
	HandName, DoneName string
}

// Settled tells whether nothing more is to be done in the step.
func (s Step) Settled() bool { return s.State == StepDone || s.State == StepSkipped }

// Current tells whether the step belongs to the current pass.
func (s Step) Current() bool { return s.State != StepSuperseded }

// CarriedOver tells whether a send-back found the step still to be done: what was planned
// of it stands in the next pass.
func (s Step) CarriedOver() bool { return s.State == StepSuperseded && s.DoneAt.IsZero() }

// Begun tells whether work on the step has started.
func (s Step) Begun() bool {
	return s.State == StepInHand || s.State == StepDone || s.State == StepOpen && s.Logged > 0
}

// Sum is what a piece's steps add up to, kept beside the piece so that the whole
// shop rolls up in one query.
type Sum struct {
	Left      Minutes
	Look      Look      // of the last stage reached
	Reached   string    // key of the last stage reached; "" none
	NextStage string    // key of the stage that comes next; "" when finished
	NextStep  ID        // zero when finished
	GateFrom  time.Time // the next step may begin from here; zero: at once
	LateFrom  time.Time // its recoat window shuts here; zero: never
	SentBack  bool      // a pass above 1 is under way
}
