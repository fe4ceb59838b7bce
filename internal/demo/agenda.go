package demo

import (
	"slices"
	"time"

	"scumble/internal/restoration"
)

// appointment is something of the tale that comes at its hour, whoever is at work.
// It tells whether it came about; if not, it is tried again half an hour later.
type appointment struct {
	at time.Time
	do func(at time.Time) bool
}

// keep keeps the first appointment of the agenda.
func (w *world) keep() {
	a := w.agenda[0]
	w.agenda = w.agenda[1:]
	if !a.do(a.at) {
		from, _ := w.sitting(a.at.Add(30 * time.Minute))
		w.plan(later(from, a.at.Add(30*time.Minute)), a.do)
	}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// plan puts an appointment on the agenda, in the order of time.
func (w *world) plan(at time.Time, do func(time.Time) bool) {
	i, _ := slices.BinarySearchFunc(w.agenda, at, func(a appointment, t time.Time) int {
		if a.at.After(t) {
			return 1
		}
		return -1
	})
	w.agenda = slices.Insert(w.agenda, i, appointment{at, do})
}

func (w *world) car(r role) *carPlay {
	return w.cars[slices.IndexFunc(w.cars, func(c *carPlay) bool { return c.part == r })]
}

// fillAgenda plans what the tale is known for.
func (w *world) fillAgenda() {
	for _, c := range w.cars {
		w.plan(c.begins.Add(-time.Minute), func(at time.Time) bool {
			return w.office(c, at, restoration.KindCarStart, restoration.ID{}, restoration.Payload{})
		})
		w.plan(w.workdaysAgo(2, 50+c.index), func(at time.Time) bool { return w.note(ActTell, c, at) })
	}
	delivered, thick, held := w.car(partDelivered), w.car(partThick), w.car(partHeld)
	w.plan(w.morning(25, 20), func(at time.Time) bool { return w.deliver(delivered, at) })
	w.plan(w.morning(94, 100), func(at time.Time) bool { return w.note(ActLink, thick, at) })
	w.plan(w.morning(9, 150), func(at time.Time) bool {
		return w.office(held, at, restoration.KindCarHold, restoration.ID{},
			restoration.Payload{Reason: "customer chooses between two sample panels"})
	})
	w.plan(w.morning(110, 130), func(at time.Time) bool {
		return w.holdPiece(delivered, at, "waits for two escutcheon screws from the turner", w.morning(101, 40), "")
	})
	w.plan(w.morning(38, 75), func(at time.Time) bool {
		return w.holdPiece(thick, at, "waits for its escutcheon from the plater", time.Time{}, atThePlater)
	})
	w.plan(w.workdaysAgo(17, 15), w.tickTooSoon(true))
	w.plan(w.workdaysAgo(16, 10), w.settle)
	w.plan(w.workdaysAgo(1, 12), w.tickTooSoon(false))
	w.plan(w.workdaysAgo(1, 30), w.correct)
	fortnight, _ := w.sitting(w.now.AddDate(0, 0, -13))
	w.plan(later(w.workdaysAgo(8, 15), fortnight), w.tickAgainstWait)
}

// office enters something from the office; it always comes about.
func (w *world) office(c *carPlay, at time.Time, k restoration.Kind, piece restoration.ID, p restoration.Payload) bool {
	w.enter(c, restoration.Event{Kind: k, PieceID: piece, PersonID: owner, At: at, Payload: p})
	return true
}

func (w *world) note(k ActKind, c *carPlay, at time.Time) bool {
	w.acts = append(w.acts, Act{Kind: k, At: at, Car: c.index})
	return true
}

// deliver hands a car over once all of its pieces are fitted.
func (w *world) deliver(c *carPlay, at time.Time) bool {
	for i := range c.ids {
		if !c.piece(i).Sum.NextStep.IsZero() {
			return false
		}
	}
	c.gone = true
	return w.office(c, at, restoration.KindCarDeliver, restoration.ID{}, restoration.Payload{Note: "Looked over in daylight with the owner, all well."})
}

// holdPiece puts a piece that nobody works at on hold, until then; zero is for good. Where
// a place is named, it goes out there, and is none that stays in its car.
func (w *world) holdPiece(c *carPlay, at time.Time, reason string, until time.Time, to string) bool {
	for i, id := range c.ids {
		p := c.piece(i)
		inHand := slices.ContainsFunc(p.Steps, func(s restoration.Step) bool { return s.Current() && s.State == restoration.StepInHand })
		if p.Sum.NextStep.IsZero() || p.Sum.Reached == "" || !p.Sum.LateFrom.IsZero() || p.Holding != nil || inHand || w.taken(c, i, at) ||
			to != "" && p.Mounting == restoration.MountFixed {
			continue
		}
		w.office(c, at, restoration.KindHold, id, restoration.Payload{Reason: reason})
		if to != "" {
			w.office(c, at.Add(time.Minute), restoration.KindMove, id, restoration.Payload{Place: to})
		}
		if !until.IsZero() {
			w.plan(until, func(at time.Time) bool {
				return w.office(c, at, restoration.KindRelease, id, restoration.Payload{})
			})
		}
		return true
	}
	return false
}

// waiting finds a piece that hardens for an hour more at least and for so long at most,
// before a stage of one of the looks; before any where none is named.
func (w *world) waiting(at time.Time, most time.Duration, looks ...restoration.Look) (*carPlay, int) {
	for _, r := range []role{partThick, partLate, partFresh} {
		c := w.car(r)
		for i := range c.ids {
			p := c.piece(i)
			if stage, _ := w.route.Stage(p.Sum.NextStage); len(looks) > 0 && !slices.Contains(looks, stage.Look) {
				continue
			}
			if left := p.Sum.GateFrom.Sub(at); left > time.Hour && left < most && p.Footing(c.book.Car.State, at) == restoration.FootWaiting &&
				!w.taken(c, i, at) {
				return c, i
			}
		}
	}
	return nil, 0
}

// tick makes a whole tick of the piece's next step.
func (w *world) tick(c *carPlay, piece int, at time.Time, person int64) restoration.Event {
	p := c.piece(piece)
	stage, _ := w.route.Stage(p.Sum.NextStage)
	e := restoration.Event{Kind: restoration.KindTick, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: person, DeviceID: tablet, At: at}
	e.Hours = rounded(p.Steps[slices.IndexFunc(p.Steps, func(s restoration.Step) bool { return s.ID == p.Sum.NextStep })].Planned.Likely)
	for _, check := range stage.Checks {
		e.Checks = append(e.Checks, check.Key)
	}
	return e
}

// tickTooSoon has somebody tick a step that still waits: the shop refuses it.
func (w *world) tickTooSoon(settled bool) func(time.Time) bool {
	return func(at time.Time) bool {
		c, piece := w.waiting(at, 8*24*time.Hour)
		if c == nil {
			return false
		}
		w.enter(c, w.tick(c, piece, at, w.hands[0].person))
		if settled {
			w.refusedOnce = w.acts[len(w.acts)-1].Event.ID
		}
		return true
	}
}

// settle has the owner deal with the earlier of the refused entries.
func (w *world) settle(at time.Time) bool {
	if w.refusedOnce.IsZero() {
		return false
	}
	return w.office(w.car(partThick), at, restoration.KindSettle, restoration.ID{},
		restoration.Payload{Ref: w.refusedOnce, Note: "Wrong piece picked on the tablet, the other bezel was meant."})
}

// tickAgainstWait has somebody go on before the time is up, and say why.
func (w *world) tickAgainstWait(at time.Time) bool {
	c, piece := w.waiting(at, 44*time.Hour, restoration.LookBlocked, restoration.LookGrounded)
	if c == nil {
		return false
	}
	e := w.tick(c, piece, at, w.hands[1].person)
	e.Reason = "Stood in the warm cupboard overnight, no print from the nail."
	w.enter(c, e)
	return true
}
