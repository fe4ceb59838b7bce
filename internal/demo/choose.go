package demo

import (
	"cmp"
	"slices"
	"time"

	"scumble/internal/restoration"
)

// longSession is how long a technician keeps to one batch before looking up.
const longSession restoration.Minutes = 200

// choose finds the technician's next job: on with the batch, else the best batch of
// the car that is furthest behind. Nil when nothing can or need be done.
func (w *world) choose(h *hand, at time.Time) *job {
	if j := w.owed(h, at); j != nil {
		return w.begin(h, j)
	}
	if j := w.fate(h, at); j != nil {
		return w.begin(h, j)
	}
	if j := w.bareSteel(h, at); j != nil {
		return w.begin(h, j)
	}
	if h.last != nil && h.session < longSession {
		same := slices.DeleteFunc(w.ready(h.last.car, h, at), func(j *job) bool { return j.stage.Key != h.last.stage.Key })
		if len(same) > 0 {
			return w.begin(h, same[0])
		}
	}
	type choice struct {
		car *carPlay
		lag restoration.Minutes
	}
	var choices []choice
	for _, c := range w.cars {
		lag := c.lag(at, w.now)
		if c.part == partFresh && h.person == fresher && !at.Before(c.begins) {
			lag += 100 * 60
		}
		if c.part == partDelivered && !at.Before(w.morning(c.until+10, 0)) {
			lag += 400 * 60 // its owner has been told a day
		}
		choices = append(choices, choice{c, lag})
	}
	slices.SortStableFunc(choices, func(a, b choice) int { return cmp.Compare(b.lag, a.lag) })
	for _, c := range choices {
		// Nobody hurries a car that is well ahead, but for the last days, in which
		// everybody has something to do.
		if c.lag < -3*60 && at.Before(w.lastDays) {
			break
		}
		if jobs := w.ready(c.car, h, at); len(jobs) > 0 {
			return w.begin(h, w.bestBatch(jobs))
		}
	}
	return nil
}

// fate gives the jobs that the last week is known for: the piece that is cut through,
// and those that are cleared and cut in time to wait for their fitting now. Nil when
// none can be done.
func (w *world) fate(h *hand, at time.Time) *job {
	if j := w.trial(h, at); j != nil {
		return j
	}
	late := w.car(partLate)
	if at.Before(w.lastWeek) {
		return nil
	}
	for _, j := range w.ready(late, h, at) {
		switch {
		case j.fateful():
			return j
		case len(w.resting) < len(w.restFrom) && !slices.Contains(w.resting, j.piece) && !at.Before(w.restFrom[len(w.resting)]) && j.stage.Look == restoration.LookCleared && j.step.Pass == 1:
			w.resting = append(w.resting, j.piece)
			return j
		case slices.Contains(w.resting, j.piece) && (j.stage.Look == restoration.LookCleared || j.stage.Look == restoration.LookCut):
			return j
		}
	}
	return nil
}

// trial gives a job on the pieces that the customer of the held car is to see cleared
// before the car rests. Nil when it isn't time, or none can be done.
func (w *world) trial(h *hand, at time.Time) *job {
	held := w.car(partHeld)
	if at.Before(w.morning(held.until+30, 0)) {
		return nil
	}
	grained := 0
	for i := range held.ids {
		if w.route.Position(held.piece(i).Sum.Reached) >= w.route.Position("grained") {
			grained++
		}
	}
	for _, j := range w.ready(held, h, at) {
		look := j.stage.Look
		if look == restoration.LookCleared || grained < trials && (look == restoration.LookGrounded || look == restoration.LookGrained) {
			return j
		}
	}
	return nil
}

// bareSteel gives the job whose recoat window shuts first, when that is before the
// next day is well begun: bare steel rusts.
func (w *world) bareSteel(h *hand, at time.Time) (first *job) {
	for _, c := range w.cars {
		if c.sums().bare == 0 {
			continue
		}
		for _, j := range w.ready(c, h, at) {
			if !j.tooLate.IsZero() && (first == nil || j.tooLate.Before(first.tooLate)) {
				first = j
			}
		}
	}
	if first != nil && first.tooLate.After(at.Add(21*time.Hour)) {
		return nil
	}
	return first
}

// fresher is who strips the car that has just come.
const fresher int64 = 4

func (w *world) begin(h *hand, j *job) *job {
	j.need = max(w.truth(h, j.step)/restoration.Minutes(j.visits()), w.flashes(j))
	return j
}

// owed gives a piece that the technician has sprayed beside another one and must still
// unmask, look over and tick.
func (w *world) owed(h *hand, at time.Time) *job {
	for len(h.owed) > 0 {
		o := h.owed[0]
		h.owed = h.owed[1:]
		if j := w.jobOn(o.car, o.piece); j != nil && w.workable(j, at) {
			return j
		}
	}
	return nil
}

// ready lists what the technician could do on a car at that hour.
func (w *world) ready(c *carPlay, h *hand, at time.Time) []*job {
	if at.Before(c.begins) || c.gone || c.part == partHeld && !at.Before(w.morning(c.until, 0)) {
		return nil
	}
	var jobs []*job
	waves := c.waves()
	for i := range c.ids {
		if c.piece(i).Sum.Reached == "" && c.wave[i] >= waves {
			continue
		}
		if j := w.jobOn(c, i); j != nil && w.workable(j, at) && w.mayDo(j, h, at) {
			jobs = append(jobs, j)
		}
	}
	return jobs
}

// jobOn is the next step of a piece as a job; nil when it is finished.
func (w *world) jobOn(c *carPlay, piece int) *job {
	p := c.piece(piece)
	if p.Sum.NextStep.IsZero() {
		return nil
	}
	j := &job{car: c, piece: piece, tooLate: p.Sum.LateFrom}
	j.step = p.Steps[slices.IndexFunc(p.Steps, func(s restoration.Step) bool { return s.ID == p.Sum.NextStep })]
	j.stage, _ = w.route.Stage(j.step.Stage)
	return j
}

// workable tells whether the rules let a job begin, and nobody else has it.
func (w *world) workable(j *job, at time.Time) bool {
	return j.car.piece(j.piece).Footing(j.car.book.Car.State, at) == restoration.FootWorkable && !w.taken(j.car, j.piece, at)
}

// waves is how many waves of the car's pieces may have been begun: a shop doesn't
// strip what it can't prime in time.
func (c *carPlay) waves() int {
	if c.part == partFresh {
		return 4
	}
	return 1 + int(6.5*float64(c.sums().earned)/float64(c.planned))
}

// taken tells whether somebody has the piece, or has only just put it down.
func (w *world) taken(c *carPlay, piece int, at time.Time) bool {
	return at.Before(c.down[piece]) || slices.ContainsFunc(w.hands, func(h *hand) bool {
		return slices.Contains(h.owed, on{c, piece}) ||
			h.job != nil && h.job.car == c && (h.job.piece == piece || slices.Contains(h.job.mates, piece))
	})
}

// mayDo holds the customs of the shop: it sprays once the booth is warm and one at a time,
// one hand grains a whole car, no more is stripped than can be primed, and the car that has just come is only stripped in the
// last hours. The unlucky piece lies until its week. At
// the very end everybody takes what there is.
func (w *world) mayDo(j *job, h *hand, at time.Time) bool {
	p := j.car.told.Pieces[j.piece]
	switch {
	case w.isSpared(j):
		return false
	case j.fateful():
		return !at.Before(w.lastWeek)
	case w.closing:
		return j.stage.Look != restoration.LookGrained
	case j.stage.Look == restoration.LookStripped && j.car.part != partFresh:
		return at.Weekday() != time.Friday && at.Hour() < 14 && j.car.sums().bare < 5 &&
			(j.car.part != partHeld || at.Before(w.morning(j.car.until+5, 0)))
	case j.stage.Look == restoration.LookGrained:
		return h.person == j.car.grainer
	case j.car.part == partFresh && !at.Before(w.lastHours):
		return j.stage.Look == restoration.LookStripped && j.car.sums().bare < 5 && p.Size != restoration.SizeLarge && restoration.Repair(p.Faults).Likely == 0
	case j.stage.Booth:
		return at.Hour() >= 9 && w.fits(j, at) && j.car.tries(j) && !slices.ContainsFunc(w.hands, func(o *hand) bool { return o != h && o.job != nil && o.job.sprays() })
	}
	return true
}

// bestBatch picks the first job of the best batch: one with several pieces, of an
// early wave, far along.
func (w *world) bestBatch(jobs []*job) *job {
	type batch struct {
		stage string
		wave  int
	}
	count := map[batch]int{}
	of := func(j *job) batch { return batch{j.stage.Key, j.car.wave[j.piece]} }
	for _, j := range jobs {
		count[of(j)]++
	}
	score := func(j *job) float64 {
		s := float64(min(count[of(j)], 6)) + 1.1*float64(j.step.Position) - 2.5*float64(j.car.wave[j.piece])
		if j.stage.Look == restoration.LookGrounded {
			s += 4 // a free booth is worth taking
		}
		return s
	}
	return slices.MaxFunc(jobs, func(a, b *job) int { return cmp.Or(cmp.Compare(score(a), score(b)), cmp.Compare(b.piece, a.piece)) })
}
