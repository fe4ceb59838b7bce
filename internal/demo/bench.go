package demo

import (
	"math"
	"time"

	"scumble/internal/restoration"
)

// hand is a technician in the play. at is when they act next.
type hand struct {
	person  int64
	at      time.Time
	pace    float64 // how long they take, against the plan
	job     *job
	since   time.Time // of the stretch of work under way; zero between stretches
	last    *job      // what they did before, for working in batches
	owed    []on      // sprayed beside another piece, and still to be seen to
	session restoration.Minutes
	stopped bool // the clock, for a break
}

// job is one step that a technician works at.
type job struct {
	car      *carPlay
	piece    int
	step     restoration.Step
	stage    restoration.Stage
	mates    []int               // pieces that are sprayed with it
	need     restoration.Minutes // what it will really take
	took     restoration.Minutes
	unlogged restoration.Minutes
	tooLate  time.Time // when the recoat window before it shuts; zero: never
}

// pause is how long it takes to put one piece away and fetch the next.
const pause = 7 * time.Minute

func newHand(person int64, from time.Time) *hand {
	pace := map[int64]float64{2: 0.96, 3: 1.05, 4: 1.1}[person]
	return &hand{person: person, at: from, pace: pace}
}

// turn lets a technician do what is next at their hour: end a stretch of work, or
// begin one.
func (w *world) turn(h *hand) {
	if w.leaves(h) {
		return
	}
	if !h.since.IsZero() {
		w.endStretch(h)
		return
	}
	from, to := w.sitting(h.at)
	switch {
	case h.at.Before(from):
		h.at = from.Add(time.Duration(w.rnd.IntN(9)) * time.Minute)
		return
	case h.job == nil && w.away(h):
		h.at = w.wall(h.at.AddDate(0, 0, 1), 0)
		return
	case h.job == nil && !w.take(h, to):
		h.at = h.at.Add(20 * time.Minute)
		return
	}
	w.resume(h)
	h.since = h.at
	h.at = h.at.Add((h.job.need - h.job.took).Duration())
	if h.at.After(to) {
		h.at = to
	}
}

// away tells whether the technician has the day off.
func (w *world) away(h *hand) bool {
	return h.at.Before(w.lastDays) && (h.at.YearDay()*7+int(h.person)*5)%19 == 0
}

// take chooses a job and takes it in hand; false when there is nothing to do.
func (w *world) take(h *hand, to time.Time) bool {
	j := w.choose(h, h.at)
	if j == nil {
		return false
	}
	fresh := h.last == nil || h.last.car != j.car || h.last.stage.Key != j.stage.Key
	if fresh {
		h.session = 0
		if setUp := h.at.Add(j.stage.SetUp.Duration()); setUp.Before(to) && !setUp.After(w.now) {
			h.at = setUp // nothing is logged for it: it serves the whole batch
		}
	}
	h.job, h.last = j, j
	j.mates = w.together(h, j, h.at)
	end := h.at.Add(j.need.Duration())
	if end.After(to) || end.After(w.now) || w.rnd.IntN(8) == 0 || w.clocked(h.at) {
		w.grip(h, h.at)
	}
	return true
}

// grip enters that the technician has the job in hand, where that is new or is timed.
func (w *world) grip(h *hand, at time.Time) {
	if s := h.job.step; s.State == restoration.StepInHand && s.HandBy == h.person && !w.clocked(at) {
		return
	}
	w.enterStep(h, at, restoration.KindStart, restoration.Payload{Checks: h.job.scuffs(at)})
}

// scuffs is the confirmation that the rules ask for once a recoat window has shut.
func (j *job) scuffs(at time.Time) []string {
	if !j.tooLate.IsZero() && at.After(j.tooLate) {
		return []string{restoration.CheckScuffed}
	}
	return nil
}

func (w *world) enterStep(h *hand, at time.Time, k restoration.Kind, p restoration.Payload) restoration.Outcome {
	j := h.job
	return w.enter(j.car, restoration.Event{Kind: k, PieceID: j.car.ids[j.piece], StepID: j.step.ID,
		PersonID: h.person, DeviceID: tablet, At: at, Payload: p})
}

// tablet is the number of the shop's tablet in the tale.
const tablet int64 = 1

// endStretch ends the stretch at the technician's hour: the job is done, or the
// break or the evening has come.
func (w *world) endStretch(h *hand) {
	j, at, from := h.job, h.at, h.since
	worked := restoration.Minutes(at.Sub(from) / time.Minute)
	j.took += worked
	j.unlogged += worked
	h.session += worked
	h.since = time.Time{}
	switch {
	case j.took >= j.need:
		if w.finishFilm(h, from) {
			w.finish(h)
		} else {
			w.putDown(h)
		}
		h.at = at.Add(pause)
	case at.Hour() >= 14: // the evening: what was done today is logged today
		w.logDay(h)
		h.at = w.wall(at.AddDate(0, 0, 1), 0)
	default:
		w.rest(h)
		h.at = at.Add(time.Minute)
	}
}

// logDay logs the hours of a step that goes on another day.
func (w *world) logDay(h *hand) {
	j := h.job
	h.stopped = true
	if j.unlogged < 10 {
		w.enterStep(h, h.at, restoration.KindPause, restoration.Payload{})
		return
	}
	p := restoration.Payload{Hours: w.logged(h)}
	j.unlogged = 0
	if left := j.need - j.took; left > 90 && w.rnd.IntN(3) == 0 {
		said := max((left+7)/15*15, 15)
		p.StillToGo = &said
		w.enterStep(h, h.at, restoration.KindLogTime, p)
		p = restoration.Payload{}
	}
	w.enterStep(h, h.at, restoration.KindPause, p)
}

// rounded gives worked time as it is entered: to five minutes.
func rounded(m restoration.Minutes) *restoration.Minutes {
	r := max((m+2)/5*5, 5)
	return &r
}

// finishFilm enters what the job did to the film. It tells whether the job is done: clear
// that wants another session is not.
func (w *world) finishFilm(h *hand, from time.Time) bool {
	j := h.job
	switch coats, _ := j.next(); {
	case j.stage.Look == restoration.LookCut:
		w.cutDown(h, from, h.at)
	case j.stage.Look == restoration.LookGrained && len(coats) > 0:
		w.readColour(h, from)
		fallthrough
	case len(coats) > 0:
		return w.spray(h, from, h.at)
	}
	return true
}

// finish ticks the job, or finds out that something went wrong.
func (w *world) finish(h *hand) {
	j, at := h.job, h.at
	defer func() { h.job, j.car.down[j.piece] = nil, at.Add(pause) }()
	for _, i := range j.mates {
		h.owed = append(h.owed, on{j.car, i})
	}
	m, bad := w.mishap(j, at)
	if bad && !m.ticked {
		w.enterStep(h, at, restoration.KindPause, restoration.Payload{Hours: w.logged(h)})
		w.sendBack(h, at.Add(20*time.Second), m)
		return
	}
	p := restoration.Payload{Hours: w.logged(h), Checks: j.scuffs(at), Note: remark(j.stage.Look, w.rnd)}
	for _, c := range j.stage.Checks {
		p.Checks = append(p.Checks, c.Key)
	}
	if w.spared.short == (on{j.car, j.piece}) && j.stage.Look == restoration.LookCleared {
		p.Reason = "Valleys flat already after the third coat, and the bead would fill."
	}
	w.enterStep(h, at, restoration.KindTick, p)
	w.spare(h, at)
	if bad {
		w.sendBack(h, at.Add(20*time.Second), m)
	}
	place := restingPlace(j.stage.Look, w.rnd)
	leaves := j.car.piece(j.piece).Mounting != restoration.MountFixed
	if place != "" && (!j.car.finish.sparse && leaves || place == inCar) {
		w.enter(j.car, restoration.Event{Kind: restoration.KindMove, PieceID: j.car.ids[j.piece], PersonID: h.person, DeviceID: tablet,
			At: at.Add(40 * time.Second), Payload: restoration.Payload{Place: place}})
	}
}

// mishap tells whether the job goes wrong. The last days see one only: the late
// car's.
func (w *world) mishap(j *job, at time.Time) (mishap, bool) {
	lately := !at.Before(w.lastWeek)
	switch {
	case lately && j.fateful():
		j.car.botched = true
		return cutThrough, true
	case lately || j.step.Pass > 1 || j.car.part == partHeld || j.car.part == partFresh:
		return mishap{}, false
	}
	return mishapAt(j.stage.Look, w.rnd)
}

// fateful tells whether the job is the one that is sanded through on the late car.
func (j *job) fateful() bool {
	return !j.car.botched && j.car.isUnlucky(j.piece) && j.stage.Look == restoration.LookCut
}

// isUnlucky tells whether a piece is the one that is sanded through.
func (c *carPlay) isUnlucky(piece int) bool {
	p := c.told.Pieces[piece]
	return p.Name == c.unlucky && p.Side == restoration.SideRight
}

// sendBack sends the job's piece back to the stage of the mishap.
func (w *world) sendBack(h *hand, at time.Time, m mishap) {
	j := h.job
	for _, s := range w.route.Stages {
		if s.Look == m.back {
			w.enter(j.car, restoration.Event{Kind: restoration.KindSendBack, PieceID: j.car.ids[j.piece], PersonID: h.person, DeviceID: tablet,
				At: at, Payload: restoration.Payload{Stage: s.Key, Defect: m.defect, Note: m.note}})
			return
		}
	}
}

// truth draws what a step really takes: about what was planned, with the spread of
// hand work.
func (w *world) truth(h *hand, s restoration.Step) restoration.Minutes {
	spread := math.Exp(0.2*w.rnd.NormFloat64() - 0.02)
	return max(restoration.Minutes(math.Round(float64(s.Planned.Likely-s.Logged)*spread*h.pace)), 8)
}

// lastWait sees to it that a piece waits at the end of the tale: where none does, a cut
// under way is done by now, and its piece waits for the fitting.
func (w *world) lastWait() {
	if c, _ := w.waiting(w.now, 30*24*time.Hour); c != nil {
		return
	}
	for _, h := range w.hands {
		if h.job != nil && !h.since.IsZero() && h.person != forgetful && h.job.stage.Look == restoration.LookCut {
			h.at, h.job.need = w.now, h.job.took
			w.endStretch(h)
			return
		}
	}
}

// lastGrip gives everybody something in hand at the end of the tale.
func (w *world) lastGrip() {
	w.closing = true
	at := w.acts[0].At
	for _, a := range w.acts {
		if a.At.After(at) {
			at = a.At
		}
	}
	for _, h := range w.hands {
		if h.job != nil {
			continue
		}
		if h.job = w.choose(h, at); h.job != nil {
			w.grip(h, at)
			if h.person != forgetful {
				w.enterStep(h, at.Add(time.Second), restoration.KindPause, restoration.Payload{Checks: []string{restoration.CheckNotWorked}})
			}
		}
	}
	w.lastClocks()
}
