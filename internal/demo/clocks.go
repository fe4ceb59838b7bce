package demo

import (
	"slices"
	"time"

	"scumble/internal/restoration"
)

// Those whose clocks the visitor meets: the one whose PIN is shown first has a clock that
// runs, another went home without stopping hers.
const (
	visited   int64 = 2
	forgetful int64 = 3
)

// runFor is how long the visited technician's clock has run at the end of the tale.
const runFor = 37 * time.Minute

// clocked tells whether work is timed at an hour. The months before were typed, so that
// the demo loads fast.
func (w *world) clocked(at time.Time) bool { return !at.Before(w.lastWeek) }

// resume sets the clock going again on the job that goes on after a break.
func (w *world) resume(h *hand) {
	if h.job != nil && h.stopped && w.clocked(h.at) {
		w.enterStep(h, h.at, restoration.KindStart, restoration.Payload{Checks: h.job.scuffs(h.at)})
	}
	h.stopped = false
}

// rest stops the clock for the midday break.
func (w *world) rest(h *hand) {
	if w.clocked(h.at) {
		w.enterStep(h, h.at, restoration.KindPause, restoration.Payload{})
		h.stopped = true
	}
}

// leaves tells whether the hand goes home with the clock running, and stays away since.
func (w *world) leaves(h *hand) bool {
	if h.person != forgetful || h.at.Before(w.goesHome) {
		return false
	}
	if h.job == nil {
		if h.job = w.choose(h, h.at); h.job == nil {
			return false
		}
		w.grip(h, h.at)
	}
	h.at = w.now.Add(time.Hour)
	return true
}

// logged is the time worked at a job as it is entered: what the clock shows to the quarter
// of an hour, else what somebody types.
func (w *world) logged(h *hand) *restoration.Minutes {
	if w.clocked(h.at) {
		return new(h.job.unlogged.Quarters())
	}
	return rounded(h.job.unlogged)
}

// lastClocks leaves the visited technician with a clock that runs, whatever the hour.
func (w *world) lastClocks() {
	h := w.hands[slices.IndexFunc(w.hands, func(h *hand) bool { return h.person == visited })]
	if h.job == nil {
		return
	}
	at := later(w.now.Add(-runFor), w.lastOf(h.person))
	if shut := w.wall(w.now, w.settings.Calendar.Days[w.now.Weekday()].Close); shut.Before(w.now) {
		at = later(at, shut) // a clock that runs past closing time counts as forgotten
	}
	if !h.since.IsZero() && w.now.Sub(h.since) < runFor {
		return // began but now
	}
	if !h.since.IsZero() {
		worked := h.job.unlogged + restoration.Minutes(at.Sub(h.since)/time.Minute)
		w.enterStep(h, at, restoration.KindPause, restoration.Payload{Hours: new(worked.Quarters())})
	}
	w.enterStep(h, at.Add(time.Second), restoration.KindStart, restoration.Payload{Checks: h.job.scuffs(at)})
}

// lastOf is the hour of the person's last entry.
func (w *world) lastOf(person int64) (at time.Time) {
	for _, a := range w.acts {
		if a.Event.PersonID == person && a.At.After(at) {
			at = a.At
		}
	}
	return at
}

// correct has the owner take half an hour off an entry of the day before, and say why.
func (w *world) correct(at time.Time) bool {
	day := w.wall(at, 0)
	for _, a := range slices.Backward(w.acts) {
		e := a.Event
		if a.Kind != ActEnter || a.Refuse || !e.LogsHours() || *e.Hours < 90 || !a.At.Before(day) {
			continue
		}
		was, is := *e.Hours, *e.Hours-30
		w.enter(w.cars[a.Car], restoration.Event{Kind: restoration.KindCorrect, PieceID: e.PieceID, StepID: e.StepID, PersonID: owner, At: at,
			Payload: restoration.Payload{Ref: e.ID, Was: &was, Hours: &is, Reason: "Half an hour of it was unloading the timber lorry."}})
		return true
	}
	return false
}
