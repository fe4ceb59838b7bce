package restoration

import (
	"fmt"
	"strings"
	"time"
)

// ApplyCar says what one of the car's own events does to it. pieces are those on
// its list; whether they are finished decides if the car may go.
func ApplyCar(c Car, pieces []Piece, e Event) (Car, Outcome) {
	if out := judge(e); out.Result == Refused {
		return c, out
	}
	reason := strings.TrimSpace(e.Reason)
	switch e.Kind {
	case KindCarStart:
		if c.State != CarSurvey {
			return c, already("The car is past its survey.")
		}
		c.State = CarInWork
	case KindCarHold:
		switch {
		case c.State == CarOnHold:
			return c, already("The car is on hold already: " + c.HoldReason)
		case c.State == CarDelivered:
			return c, refused("The car is delivered, so it can't be held.")
		case reason == "":
			return c, refused("Say why the car is held: what it waits for.")
		}
		c.State, c.HoldReason, c.HeldSince = CarOnHold, reason, e.At
	case KindCarRelease:
		if c.State != CarOnHold {
			return c, already("The car is not on hold.")
		}
		c.State, c.HoldReason, c.HeldSince = CarInWork, "", time.Time{}
	case KindCarDeliver:
		return deliver(c, pieces, e, reason)
	case KindCarReopen:
		if c.State != CarDelivered {
			return c, already("The car is not delivered.")
		}
		c.State, c.DeliveredAt = CarInWork, time.Time{}
	default:
		return c, refused(fmt.Sprintf("%.30q is nothing that can happen to a car.", e.Kind))
	}
	return c, applied()
}

// CarReasonWanted is the sentence with which one of the car's own events would be refused
// for want of a reason alone; "" where it gives one, needs none, or is refused all the same.
func CarReasonWanted(c Car, pieces []Piece, e Event) string {
	if strings.TrimSpace(e.Reason) != "" {
		return ""
	}
	_, bare := ApplyCar(c, pieces, e)
	e.Reason = "a reason"
	if _, given := ApplyCar(c, pieces, e); bare.Result != Refused || given.Result == Refused {
		return ""
	}
	return bare.Reason
}

// deliver hands the car over. Pieces that are not finished need a reason.
func deliver(c Car, pieces []Piece, e Event, reason string) (Car, Outcome) {
	if c.State == CarDelivered {
		return c, already("The car is delivered already.")
	}
	open := 0
	for _, p := range pieces {
		if p.Removed.IsZero() && !p.Sum.NextStep.IsZero() {
			open++
		}
	}
	if open > 0 && reason == "" {
		are := "pieces are"
		if open == 1 {
			are = "piece is"
		}
		return c, refused(fmt.Sprintf("%d %s not finished. Finish them, or say why the car goes all the same.", open, are))
	}
	c.State, c.HoldReason, c.HeldSince, c.DeliveredAt = CarDelivered, "", time.Time{}, e.At
	return c, applied()
}

// CarAfter gives the state of a car after something was done to one of its pieces:
// the first work puts a car in survey in work.
func CarAfter(state CarState, k Kind, r Result) CarState {
	if state != CarSurvey || r == Refused {
		return state
	}
	switch k {
	case KindTick, KindStart, KindLogTime:
		return CarInWork
	}
	return state
}
