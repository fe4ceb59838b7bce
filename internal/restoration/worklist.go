package restoration

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// soon is how near a shutting recoat window must be to come before everything else.
const soon = 24 * time.Hour

// ReadyItem is a piece that can be worked now, and why it comes where it does.
type ReadyItem struct {
	Work
	Frees  int    // pieces of its car and set that wait for it to go on together
	Reason string // in a few words; "" when nothing sets it apart
}

// ReadyNow lists what can be worked at now, what frees most work first: a recoat
// window that shuts within a day, then the piece for which most others of its set
// wait, then the nearest promised date, then the most hours behind it.
func ReadyNow(work []Work, now time.Time) []ReadyItem {
	var items []ReadyItem
	waiting := countTogether(work)
	for _, w := range work {
		if w.HandBy == 0 && w.Piece.Footing(w.Car.State, now) == FootWorkable && w.Car.State != CarDelivered {
			items = append(items, ReadyItem{Work: w, Frees: waiting[w.together(1)]})
		}
	}
	slices.SortStableFunc(items, func(a, b ReadyItem) int {
		return cmp.Or(
			a.shuts(now).Compare(b.shuts(now)),
			cmp.Compare(b.Frees, a.Frees),
			promised(a.Car).Compare(promised(b.Car)),
			cmp.Compare(b.Piece.Sum.Left, a.Piece.Sum.Left),
			cmp.Compare(a.Car.WorkOrder, b.Car.WorkOrder),
			cmp.Compare(a.Piece.Name, b.Piece.Name),
			cmp.Compare(a.Piece.ID.String(), b.Piece.ID.String()),
		)
	})
	for i := range items {
		items[i].Reason = items[i].reason(now)
	}
	return items
}

// never sorts behind every hour.
var never = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// shuts is the hour at which the recoat window shuts, if it is open and that is soon.
func (w Work) shuts(now time.Time) time.Time {
	late := w.Piece.Sum.LateFrom
	if late.IsZero() || late.Before(now) || late.Sub(now) > soon {
		return never
	}
	return late
}

func promised(c Car) time.Time {
	if c.PromisedOn.IsZero() {
		return never
	}
	return c.PromisedOn
}

// together names the pieces of one car that go on together at one stage: one lot of
// colour and one sitting for a set.
type together struct {
	car, route int64
	set        string
	position   int
}

// countTogether counts the pieces that are next at each stage of each set, held ones
// aside.
func countTogether(work []Work) map[together]int {
	n := make(map[together]int)
	for _, w := range work {
		if w.Piece.Set != "" && w.Piece.Holding == nil {
			n[w.together(0)]++
		}
	}
	return n
}

func (w Work) together(ahead int) together {
	return together{w.Car.ID, w.Piece.RouteID, w.Piece.Set, w.NextPosition + ahead}
}

func (i ReadyItem) reason(now time.Time) string {
	switch late := i.Piece.Sum.LateFrom; {
	case i.shuts(now) != never:
		return "next coat within " + span(late.Sub(now))
	case !late.IsZero() && late.Before(now):
		return "too late for the next coat: scuff first"
	case i.Frees == 1:
		return "frees 1 piece"
	case i.Frees > 1:
		return fmt.Sprintf("frees %d pieces", i.Frees)
	case !i.Car.PromisedOn.IsZero() && i.Car.PromisedOn.Before(now):
		return "the car is late"
	case i.Piece.Sum.SentBack:
		return "sent back"
	}
	return ""
}

// WaitingFor lists what waits for cure or recoat at now, soonest first.
func WaitingFor(work []Work, now time.Time) []Work {
	var out []Work
	for _, w := range work {
		if w.Car.State != CarDelivered && w.Piece.Footing(w.Car.State, now) == FootWaiting {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b Work) int {
		return cmp.Or(a.Piece.Sum.GateFrom.Compare(b.Piece.Sum.GateFrom), cmp.Compare(a.Piece.Name, b.Piece.Name))
	})
	return out
}

// InHand lists what somebody has in hand: that person's own first, then by time.
func InHand(work []Work, person int64) []Work {
	var out []Work
	for _, w := range work {
		if w.HandBy != 0 && w.Car.State != CarDelivered {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b Work) int {
		mine := func(w Work) int {
			if w.HandBy == person {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(mine(a), mine(b)), a.HandSince.Compare(b.HandSince))
	})
	return out
}
