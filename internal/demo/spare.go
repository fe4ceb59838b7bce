package demo

import (
	"slices"
	"time"

	"scumble/internal/restoration"
)

// on names a piece of the play.
type on struct {
	car   *carPlay
	piece int
}

// faulty tells whether the piece is to be repaired.
func (o on) faulty() bool {
	return restoration.Repair(o.car.told.Pieces[o.piece].Faults).Likely > 0
}

// spared are the pieces that nobody goes on with, so that what the film is known for
// stands at the end of the tale.
type spared struct {
	short on   // cleared one coat short, with a reason
	thin  on   // near the floor before its cut
	odd   on   // of another colour than its set
	rusty on   // its recoat window has shut
	booth []on // grained, all of them to be cleared
	// Pieces are looked for from early on, the one a coat short from late on.
	early, late time.Time
	before      time.Time // what must have stood a day by now was done before this
}

func (w *world) newSpared() {
	w.spared = spared{early: w.workdaysAgo(12, 0), late: later(w.workdaysAgo(7, 0), w.now.AddDate(0, 0, -13)), before: w.now.Add(-30 * time.Hour)}
}

// boothful is how many pieces wait for the booth together at the end.
const boothful = 4

// isSpared tells whether a job is left alone for the tale's end.
func (w *world) isSpared(j *job) bool {
	me := on{j.car, j.piece}
	switch {
	case me == w.spared.rusty, me == w.spared.thin, slices.Contains(w.spared.booth, me):
		return true
	case j.stage.Look == restoration.LookFitted && w.spared.odd.car == j.car:
		return j.car.told.Pieces[j.piece].Set == j.car.told.Pieces[w.spared.odd.piece].Set
	}
	return j.car.botched && j.stage.Look == restoration.LookCleared && j.step.Pass > 1 && j.car.isUnlucky(j.piece)
}

// plays tells whether a job is one of the cars that the film's ends are played on, on a
// piece in the car's own finish.
func (j *job) plays() bool {
	return (j.car.part == partThick || j.car.part == partLate && !j.car.isUnlucky(j.piece)) &&
		j.car.told.Pieces[j.piece].Scheme == ""
}

// cutsShort tells whether the job is the one that gets a coat of clear less.
func (w *world) cutsShort(j *job, at time.Time, last bool) bool {
	if !last || j.stage.Look != restoration.LookCleared || at.Before(w.spared.late) || w.spared.short.car != nil || !j.plays() {
		return false
	}
	w.spared.short = on{j.car, j.piece}
	return true
}

// isOdd tells whether the job's piece is the one whose ground is of another colour.
func (w *world) isOdd(j *job) bool {
	p := j.car.told.Pieces[j.piece]
	if j.car.part != partThick || w.spared.odd.car != nil || p.Set == "" || len(j.car.colours(j.car.piece(j.piece))) < 2 {
		return false
	}
	w.spared.odd = on{j.car, j.piece}
	return true
}

// spare sees whether a job that is done just now is one to leave alone from here on.
func (w *world) spare(h *hand, at time.Time) {
	j := h.job
	me := on{j.car, j.piece}
	s := &w.spared
	switch look := j.stage.Look; {
	case look == restoration.LookStripped:
		// Best one that is primed next.
		if j.car.part == partFresh && at.Before(s.before) && (s.rusty.car == nil || s.rusty.faulty() && !me.faulty()) {
			s.rusty = me
		}
	case !j.plays():
	case at.Before(s.early):
	case look == restoration.LookGrained && len(s.booth) < boothful && at.Before(s.before):
		s.booth = append(s.booth, me)
	case look == restoration.LookCleared && s.thin.car == nil && me != s.short:
		if _, ok := w.base(j.car, j.piece); ok {
			s.thin = me
			w.plan(w.nextMorning(at), w.readThin)
		}
	}
}

// nextMorning is an hour after the shop opens next, the day after t at the earliest.
func (w *world) nextMorning(t time.Time) time.Time {
	from, _ := w.sitting(w.wall(t.In(w.loc).AddDate(0, 0, 1), 0))
	return from.Add(20 * time.Minute)
}

// readThin finds out that the crest of a piece has little clear.
func (w *world) readThin(at time.Time) bool {
	o := w.spared.thin
	um, _ := w.base(o.car, o.piece)
	w.read(o.car, o.piece, w.hands[0].person, at, w.gauge(um+o.car.finish.floor+8, false), restoration.ID{})
	w.enter(o.car, restoration.Event{Kind: restoration.KindNote, PieceID: o.car.ids[o.piece], PersonID: w.hands[0].person, DeviceID: tablet,
		At: at.Add(time.Minute), Payload: restoration.Payload{Note: "Thin on the crest by the gauge. Not cut until Marlene has looked at it."}})
	return true
}
