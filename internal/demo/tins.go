package demo

import (
	"fmt"
	"time"

	"scumble/internal/restoration"
)

// shelf is what a tin stands for: a part of a paint. Ground and grain are mixed for one
// car each, everything else serves all.
type shelf struct {
	paint int64
	part  int
	car   int // index, plus one; 0: for all
}

// tinML is what a tin of a paint's part holds.
func tinML(s shelf) float64 {
	switch {
	case s.car != 0:
		return 2500
	case s.part > 0, s.paint == paintClear:
		return 1000
	}
	return 2500
}

// tinsFor names the tins that a coat on a car takes, and opens what is wanting. ml is the
// mix that the coat takes.
func (w *world) tinsFor(c *carPlay, paint int64, ml float64, at time.Time) []restoration.LotUse {
	m := w.paints[paint-1]
	var uses []restoration.LotUse
	for part := range m.Parts {
		s := shelf{paint: paint, part: part}
		if part == 0 && (paint == paintGround1K || paint == paintGround2K || paint == paintGrain) {
			s.car = c.index + 1
		}
		uses = append(uses, restoration.LotUse{Lot: w.tin(s, m.PartML(part, ml), at)})
	}
	return uses
}

// tin gives the tin in use, or opens the next where that holds too little: in the
// morning before it is used.
func (w *world) tin(s shelf, ml float64, at time.Time) int64 {
	morning := w.wall(at.In(w.loc), w.settings.Calendar.Days[at.In(w.loc).Weekday()].Open)
	id := w.inUse[s]
	if id == 0 || w.tins[id-1].LeftML <= ml+1 {
		w.putAway(s, id, at)
		id = w.newTin(s, morning)
	}
	if l := &w.tins[id-1]; l.OpenedOn.IsZero() {
		l.OpenedOn = day(morning)
		w.acts = append(w.acts, Act{Kind: ActTin, At: morning, Lot: *l})
	}
	return id
}

// putAway throws away a tin that holds too little. What is left of the last tin of clear
// stays on the shelf, and so does the hardener at the back.
func (w *world) putAway(s shelf, id int64, at time.Time) {
	switch {
	case s == shelf{paint: paintClear}:
		id, w.scraps = w.scraps, id
	case id == w.forgotten:
		return
	}
	w.closeTin(id, at)
}

// newTin takes a new tin from the store. It is shut until something is taken from it.
func (w *world) newTin(s shelf, at time.Time) int64 {
	id := int64(len(w.tins)) + 1
	l := restoration.Lot{ID: id, Material: s.paint, Part: s.part, AmountML: tinML(s), LeftML: tinML(s),
		Number: fmt.Sprintf("%c%d-%s-%02d", "PPCCGKK"[s.paint-1], s.paint, at.Format("0601"), id), ExpiresOn: day(at.AddDate(1, 0, 0))}
	if s.car != 0 {
		l.Note = "Mixed for the " + w.cars[s.car-1].spec.car.Name + " only"
	}
	w.shelve(l, at)
	w.inUse[s] = id
	return id
}

func (w *world) shelve(l restoration.Lot, at time.Time) {
	l.MaterialName = w.paints[l.Material-1].Name
	w.tins = append(w.tins, l)
	w.acts = append(w.acts, Act{Kind: ActTin, At: at, Lot: l})
}

// closeTin throws a tin away on the next working day.
func (w *world) closeTin(id int64, at time.Time) {
	if id == 0 {
		return
	}
	from, _ := w.sitting(at.Add(16 * time.Hour))
	w.plan(from, func(at time.Time) bool {
		l := &w.tins[id-1]
		l.Closed = at
		w.acts = append(w.acts, Act{Kind: ActTin, At: at, Lot: *l})
		return true
	})
}

// oddTins are a hardener that is used up but for a rest, stands at the back and is past its
// date by now, and a mix of clear that nobody has opened yet.
func (w *world) oddTins() {
	stand := func(l restoration.Lot, at time.Time) int64 {
		l.ID, l.LeftML = int64(len(w.tins))+1, l.AmountML
		w.shelve(l, at)
		return l.ID
	}
	first := w.cars[0].arrival
	w.forgotten = stand(restoration.Lot{Material: paintGround2K, Part: 1, Number: "C4-H-118", AmountML: 500, ExpiresOn: day(w.now.AddDate(0, 0, -6)),
		Note: "Second shelf, at the back"}, w.wall(first, w.settings.Calendar.Days[first.Weekday()].Open))
	w.inUse[shelf{paint: paintGround2K, part: 1}] = w.forgotten
	for _, l := range []restoration.Lot{{Number: "K6-2611", AmountML: 2500}, {Part: 1, Number: "K6-H-2611", AmountML: 1250}} {
		l.Material, l.ExpiresOn = paintClear, day(w.now.AddDate(0, 10, 0))
		stand(l, w.morning(47, 0))
	}
}
