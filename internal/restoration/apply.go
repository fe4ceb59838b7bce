package restoration

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Limits on what an entry may say.
const (
	MaxNote   = 2000 // signs of a note
	MaxReason = 500  // signs of a reason
	MaxPlace  = 60   // signs of a place
	// MaxAhead is how far a tablet's clock may run ahead of the server's.
	MaxAhead = 5 * time.Minute
	// MaxLate is how late an entry may arrive; older ones are for the owner to judge.
	MaxLate = 90 * 24 * time.Hour
	// MaxStillToGo is the most that may be said to be left of one step.
	MaxStillToGo Minutes = 1000 * 60
)

// Apply says what an event does to a piece. The piece given is not changed; a
// refused event gives it back as it was. r is the route that the piece was started
// with (of an opening or a new route: the one it names). The same piece and event
// always give the same answer: nothing else is looked at.
func Apply(car CarState, p Piece, r Route, e Event) (Piece, Outcome) {
	if e.At.After(e.Arrived) && e.At.Sub(e.Arrived) <= MaxAhead {
		e.At = e.Arrived
	}
	next := p
	next.Steps = slices.Clone(p.Steps)
	out := next.apply(car, r, e)
	if out.Result == Refused {
		return p, out
	}
	next.Settle(r)
	return next, out
}

func (p *Piece) apply(car CarState, r Route, e Event) Outcome {
	if out := judge(e); out.Result == Refused {
		return out
	}
	if !p.Removed.IsZero() && e.Kind != KindRestore {
		return refused("The piece was taken off the car's list. Restore it first.")
	}
	if e.Kind.AboutStep() {
		return p.applyToStep(car, r, e)
	}
	switch e.Kind {
	case KindOpen:
		return p.open(r, e)
	case KindReplan:
		return p.replan(r, e)
	case KindSendBack:
		return p.sendBack(car, r, e)
	case KindHold:
		return p.hold(e)
	case KindRelease:
		return p.release()
	case KindMove:
		if e.Facts != nil && e.Facts.LiesThere {
			return already("It lies there already.")
		}
		p.LiesAt = e.Place
		return applied()
	case KindNote:
		return note(e)
	case KindPhoto:
		return p.photo(r, e)
	case KindReading:
		return p.reading(e)
	case KindStrike:
		return p.strike(e)
	case KindRemove:
		p.Removed = e.At
		return applied()
	case KindRestore:
		if p.Removed.IsZero() {
			return already("The piece is on the list.")
		}
		p.Removed = time.Time{}
		return applied()
	}
	return refused(fmt.Sprintf("%.30q is nothing that can happen to a piece.", e.Kind))
}

// sayHowLong is said where hours are needed, or can't be right.
const sayHowLong = "Say how long it took, more than 0 and up to 24 h; leave the hours out where they are logged already."

// judge looks at the entry itself: its hour and its sizes.
func judge(e Event) Outcome {
	switch {
	case Dated(e.At, e.Arrived) == DatedAhead:
		return refused(fmt.Sprintf("The entry is dated %s in the future. Set the tablet's clock, then enter it again.",
			span(e.At.Sub(e.Arrived))))
	case Dated(e.At, e.Arrived) == DatedLate:
		return refused(fmt.Sprintf("The entry is dated %s ago; after 90 days the owner must settle it.", span(e.Arrived.Sub(e.At))))
	case utf8.RuneCountInString(e.Note) > MaxNote:
		return refused(fmt.Sprintf("The note is longer than %d characters. Shorten it.", MaxNote))
	case utf8.RuneCountInString(e.Reason) > MaxReason:
		return refused(fmt.Sprintf("The reason is longer than %d characters. Shorten it.", MaxReason))
	case utf8.RuneCountInString(e.Place) > MaxPlace:
		return refused(fmt.Sprintf("The place is longer than %d characters. Shorten it.", MaxPlace))
	case e.Hours != nil && *e.Hours <= 0 && (e.Kind != KindCorrect || *e.Hours < 0):
		return refused(sayHowLong)
	case e.Hours != nil && *e.Hours > MaxEntry && e.Kind != KindSendBack:
		return refused("One entry holds up to 24 h. Enter longer work day by day.")
	case e.Hours != nil && *e.Hours > MaxStillToGo:
		return refused("The hours must be up to 1,000.")
	case e.StillToGo != nil && (*e.StillToGo < 0 || *e.StillToGo > MaxStillToGo):
		return refused("What is still to go must be from 0 to 1,000 hours.")
	}
	return applied()
}

// Dating is whether an entry may be dated as it is.
type Dating int

// The datings.
const (
	DatedWell  Dating = iota
	DatedAhead        // more than [MaxAhead] after it arrived
	DatedLate         // more than [MaxLate] before it arrived
)

// Dated judges when something happened by when the shop is told of it.
func Dated(at, arrived time.Time) Dating {
	switch {
	case at.Sub(arrived) > MaxAhead:
		return DatedAhead
	case arrived.Sub(at) > MaxLate:
		return DatedLate
	}
	return DatedWell
}

// open gives a new piece its steps.
func (p *Piece) open(r Route, e Event) Outcome {
	if len(p.Steps) > 0 {
		return already("The piece has its steps.")
	}
	if len(e.Plan) == 0 {
		return refused("The piece has no stage to go through.")
	}
	steps, out := planSteps(*p, r, e)
	if out.Result == Refused {
		return out
	}
	p.RouteID, p.Steps, p.LiesAt, p.Size = r.ID, steps, e.Place, cmp.Or(e.Size, p.Size)
	if e.Reason != "" {
		p.Holding = &Hold{Reason: e.Reason, Since: e.At, By: e.PersonID}
	}
	return applied()
}

func planSteps(p Piece, r Route, e Event) ([]Step, Outcome) {
	var steps []Step
	for _, plan := range e.Plan {
		pos := r.Position(plan.Stage)
		if pos < 0 || !plan.Hours.Valid() {
			return nil, refused(fmt.Sprintf("The route %q has no stage %.60q, or its hours are out of order.", r.Name, plan.Stage))
		}
		steps = append(steps, newStep(p, e, plan, pos))
	}
	sortSteps(steps)
	return steps, applied()
}

// newStep opens pass 1 of a stage. Its id follows from the event's.
func newStep(p Piece, e Event, plan Plan, position int) Step {
	return Step{ID: e.ID.Derive(plan.Stage), PieceID: p.ID, CarID: p.CarID, Stage: plan.Stage,
		Position: position, Pass: 1, Planned: plan.Hours, Overtyped: plan.Overtyped, State: StepOpen}
}

func sortSteps(steps []Step) {
	slices.SortStableFunc(steps, func(a, b Step) int {
		if a.Position != b.Position {
			return a.Position - b.Position
		}
		return a.Pass - b.Pass
	})
}

func (p *Piece) hold(e Event) Outcome {
	switch reason := strings.TrimSpace(e.Reason); {
	case reason == "":
		return refused("Say why the piece is held: what it waits for.")
	case p.Holding != nil:
		return already("The piece is on hold already: " + p.Holding.Reason)
	default:
		p.Holding = &Hold{Reason: reason, Since: e.At, By: e.PersonID}
		return applied()
	}
}

func (p *Piece) release() Outcome {
	if p.Holding == nil {
		return already("The piece is not on hold.")
	}
	p.Holding = nil
	return applied()
}

func note(e Event) Outcome {
	if strings.TrimSpace(e.Note) == "" {
		return refused("The note is empty. Write it, or leave it.")
	}
	return applied()
}

// span writes a duration for a sentence.
func span(d time.Duration) string {
	if d > 0 && d < time.Minute {
		return "less than a minute"
	}
	return Minutes(d / time.Minute).String()
}

// spanUp writes a duration to be waited, rounded up to the minute, from a day on to the
// hour: who comes then comes not too early.
func spanUp(d time.Duration) string {
	unit := time.Minute
	if d > 24*time.Hour {
		unit = time.Hour
	}
	return span((d + unit - 1).Truncate(unit))
}
