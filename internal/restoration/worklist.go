package restoration

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"time"
)

// soon is how near a shutting recoat window must be to come before everything else.
const soon = 24 * time.Hour

// WorkKey is what the bench's lists need of a piece with something left to do, to
// choose and to order it: the whole shop is some megabytes of these, and the whole
// [Work] is needed of those pieces only that are drawn. A finished piece, which no list
// draws and a tablet keeps, has one without a stage.
type WorkKey struct {
	Car          *Car // shared by the keys of its pieces; never nil
	PieceID      ID
	RouteID      int64
	Name         string
	Set          string
	Look         Look   // as in [Sum]
	Stage        string // key of the next stage
	StageName    string // what the route calls it
	NextPosition int    // of the next stage in the route
	Left         Minutes
	HandBy       int64 // person who has the next step in hand; 0 nobody
	HandSince    time.Time
	HeldSince    time.Time // zero: the piece is not held, though its car may be
	GateFrom     time.Time // as in [Sum]
	LateFrom     time.Time // as in [Sum]
	SentBack     bool
}

// Footing is [Piece.Footing].
func (k *WorkKey) Footing(now time.Time) Footing {
	return footing(k.Car.State, !k.HeldSince.IsZero(), k.GateFrom, now)
}

// Ready tells whether the piece stands in [ReadyNow].
func (k *WorkKey) Ready(now time.Time) bool {
	return k.HandBy == 0 && k.Car.State != CarDelivered && k.Footing(now) == FootWorkable
}

// Waiting tells whether the piece stands in [WaitingFor].
func (k *WorkKey) Waiting(now time.Time) bool {
	return k.Car.State != CarDelivered && k.Footing(now) == FootWaiting
}

// ListItem is a piece where it stands in one of the lists.
type ListItem struct {
	*WorkKey
	Frees int // in [ReadyNow]: pieces of its car and set that wait for it to go on together
}

// ReadyNow lists what can be worked at now, what frees most work first, and cars in
// survey behind those in work: a recoat window that shuts within a day, then the piece for which most others of its set
// wait, then the nearest promised date, then the most hours behind it.
func ReadyNow(keys []WorkKey, now time.Time) []ListItem {
	items := choose(keys, func(k *WorkKey) bool { return k.Ready(now) })
	waiting := countTogether(keys)
	for i := range items {
		items[i].Frees = waiting[items[i].together(1)]
	}
	slices.SortFunc(items, func(a, b ListItem) int {
		return cmp.Or(
			cmp.Compare(a.surveyed(), b.surveyed()),
			a.shuts(now).Compare(b.shuts(now)),
			cmp.Compare(b.Frees, a.Frees),
			promised(a.Car).Compare(promised(b.Car)),
			cmp.Compare(b.Left, a.Left),
			byCar(a, b),
		)
	})
	return items
}

// CarByCar lists all keys, those of one car together: cars in work first, then those on hold,
// then those in survey, each by the promised date and the work order.
func CarByCar(keys []WorkKey) []ListItem {
	items := choose(keys, func(*WorkKey) bool { return true })
	rank := func(c *Car) int { return slices.Index([]CarState{CarInWork, CarOnHold, CarSurvey}, c.State) }
	slices.SortFunc(items, func(a, b ListItem) int {
		return cmp.Or(cmp.Compare(rank(a.Car), rank(b.Car)), promised(a.Car).Compare(promised(b.Car)), byCar(a, b))
	})
	return items
}

// surveyed is 1 where the car is still in survey: its work has not begun.
func (k *WorkKey) surveyed() int {
	if k.Car.State == CarSurvey {
		return 1
	}
	return 0
}

// byCar settles what else comes out even: a list looks the same each time it is drawn.
func byCar(a, b ListItem) int {
	return cmp.Or(cmp.Compare(a.Car.WorkOrder, b.Car.WorkOrder), cmp.Compare(a.Name, b.Name), bytes.Compare(a.PieceID[:], b.PieceID[:]))
}

// choose gives the keys that fit, in the order they come.
func choose(keys []WorkKey, fits func(*WorkKey) bool) []ListItem {
	n := 0
	for i := range keys {
		if fits(&keys[i]) {
			n++
		}
	}
	items := make([]ListItem, 0, n)
	for i := range keys {
		if fits(&keys[i]) {
			items = append(items, ListItem{WorkKey: &keys[i]})
		}
	}
	return items
}

// never sorts behind every hour.
var never = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// shuts is the hour at which the recoat window shuts, if it is open and that is soon.
func (k *WorkKey) shuts(now time.Time) time.Time {
	if k.LateFrom.IsZero() || k.LateFrom.Before(now) || k.LateFrom.Sub(now) > soon {
		return never
	}
	return k.LateFrom
}

func promised(c *Car) time.Time {
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
func countTogether(keys []WorkKey) map[together]int {
	n := make(map[together]int)
	for i := range keys {
		if k := &keys[i]; k.Set != "" && k.HeldSince.IsZero() {
			n[k.together(0)]++
		}
	}
	return n
}

func (k *WorkKey) together(ahead int) together {
	return together{k.Car.ID, k.RouteID, k.Set, k.NextPosition + ahead}
}

// Reason tells in a few words why the piece comes where it does in [ReadyNow]; "" when
// nothing sets it apart.
func (i ListItem) Reason(now time.Time) string {
	switch {
	case i.shuts(now) != never, !i.LateFrom.IsZero() && i.LateFrom.Before(now):
		return Sum{Look: i.Look, LateFrom: i.LateFrom, SentBack: i.SentBack}.WindowWords(now)
	case i.Frees == 1:
		return "1 piece waits for it"
	case i.Frees > 1:
		return fmt.Sprintf("%d pieces wait for it", i.Frees)
	case !i.Car.PromisedOn.IsZero() && i.Car.PromisedOn.Before(now):
		return "the car is late"
	case i.SentBack:
		return "sent back"
	}
	return ""
}

// WaitingFor lists what waits for cure or recoat at now, soonest first.
func WaitingFor(keys []WorkKey, now time.Time) []ListItem {
	items := choose(keys, func(k *WorkKey) bool { return k.Waiting(now) })
	slices.SortFunc(items, func(a, b ListItem) int {
		return cmp.Or(a.GateFrom.Compare(b.GateFrom), byCar(a, b))
	})
	return items
}

// OnHold lists what is held, for itself or with its car, longest first.
func OnHold(keys []WorkKey, now time.Time) []ListItem {
	items := choose(keys, func(k *WorkKey) bool { return k.Footing(now) == FootHeld })
	slices.SortFunc(items, func(a, b ListItem) int {
		return cmp.Or(a.heldSince().Compare(b.heldSince()), byCar(a, b))
	})
	return items
}

func (k *WorkKey) heldSince() time.Time {
	if !k.HeldSince.IsZero() {
		return k.HeldSince
	}
	return k.Car.HeldSince
}

// InHand lists what somebody has in hand: that person's own first, then by time.
func InHand(keys []WorkKey, person int64) []ListItem {
	items := choose(keys, func(k *WorkKey) bool { return k.HandBy != 0 && k.Car.State != CarDelivered })
	slices.SortFunc(items, func(a, b ListItem) int {
		mine := func(i ListItem) int {
			if i.HandBy == person {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(mine(a), mine(b)), a.HandSince.Compare(b.HandSince), byCar(a, b))
	})
	return items
}
