package demo

import (
	"slices"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// mostTogether is how many pieces hang in the booth at once.
const mostTogether = 4

// coats lists the paints of the coats that a job's layer is made of, and how many of
// them go on in one visit; none where nothing is sprayed.
func (j *job) coats() (list []int64, visit int) {
	f, agreed := j.car.finish, j.car.schemeOf(j.piece).Materials
	switch j.stage.Look {
	case restoration.LookPrimed:
		if !f.sparse {
			list = []int64{paintEpoxy, paintFiller}
		}
	case restoration.LookGrounded:
		list = []int64{agreed[coating.Ground], agreed[coating.Ground]}
	case restoration.LookGrained:
		if grain, ok := agreed[coating.Grain]; ok {
			list = []int64{grain}
		}
	case restoration.LookCleared:
		return slices.Repeat([]int64{f.clear}, f.coats), f.visit
	}
	return list, len(list)
}

// next lists the coats of the job's next visit, and tells whether they are the last.
func (j *job) next() (list []int64, last bool) {
	all, visit := j.coats()
	on := min(j.coatsOn(), len(all))
	end := min(on+visit, len(all))
	return all[on:end], end == len(all)
}

// sprays tells whether the job takes the booth.
func (j *job) sprays() bool {
	coats, _ := j.next()
	return j.stage.Booth && len(coats) > 0
}

// coatsOn counts the coats that are logged on the job's step.
func (j *job) coatsOn() (n int) {
	for _, d := range j.car.film[j.car.ids[j.piece]] {
		if d.Kind == restoration.KindCoat && d.StepID == j.step.ID {
			n++
		}
	}
	return n
}

// visits is how many times the job's piece still comes into the booth; 1 where nothing
// is sprayed.
func (j *job) visits() int {
	all, visit := j.coats()
	left := len(all) - j.coatsOn()
	if left <= 0 {
		return 1
	}
	return (left + visit - 1) / visit
}

// flashes is the time that the coats of the next visit take with their flashing off, and
// as much again for the hanging up.
func (w *world) flashes(j *job) (sum restoration.Minutes) {
	coats, _ := j.next()
	for _, paint := range coats {
		sum += restoration.Minutes(w.paints[paint-1].Waits[1].Flash)
	}
	return sum + sum/restoration.Minutes(max(len(coats), 1)) + 2
}

// fits tells whether there is time for a visit to the booth before the break or the
// evening: nobody leaves it between two coats. A large piece is masked before and cleaned
// up after the break.
func (w *world) fits(j *job, at time.Time) bool {
	_, to := w.sitting(at)
	need := max(min((j.step.Planned.Likely-j.step.Logged)*7/5/restoration.Minutes(j.visits()), 90), w.flashes(j))
	return at.Add((need + j.stage.SetUp).Duration()).Before(to)
}

// trials is how many pieces of a car that is not settled are cleared.
const trials = 2

// tries tells whether a car that waits for its customer's choice may have one piece more
// cleared, to show.
func (c *carPlay) tries(j *job) bool {
	if c.part != partHeld || j.stage.Look != restoration.LookCleared {
		return true
	}
	n := 0
	for i, id := range c.ids {
		if slices.ContainsFunc(c.film[id], func(d restoration.Deed) bool { return d.Layer == coating.Clear }) {
			if i == j.piece {
				return true
			}
			n++
		}
	}
	return n < trials
}

// together finds the pieces that are sprayed with the job's: of the same car, at the same
// stage and coat, of the same paint.
func (w *world) together(h *hand, j *job, at time.Time) (mates []int) {
	if !j.sprays() {
		return nil
	}
	mine, _ := j.next()
	most := mostTogether
	if j.car.part == partHeld && j.stage.Look == restoration.LookCleared {
		most = trials
	}
	for _, o := range w.ready(j.car, h, at) {
		coats, _ := o.next()
		same := o.stage.Key == j.stage.Key && o.coatsOn() == j.coatsOn() && slices.Equal(coats, mine)
		if o.piece != j.piece && same && len(mates) < most-1 {
			mates = append(mates, o.piece)
		}
	}
	return mates
}

// spray enters the coats of a visit, on the job's piece and on those that hang beside
// it, from the beginning of the stretch of work to its end. It tells whether the layer is
// complete.
func (w *world) spray(h *hand, from, at time.Time) bool {
	j := h.job
	coats, last := j.next()
	group := []*job{j}
	for _, m := range j.mates {
		if o := w.jobOn(j.car, m); o != nil {
			group = append(group, o)
		}
	}
	var batch restoration.ID
	if len(group) > 1 {
		batch = w.newID(from)
	}
	short := w.cutsShort(j, at, last)
	w.prepare(h, group, from, batch)
	gap := min(at.Sub(from)/time.Duration(len(coats)+1), 10*time.Minute).Truncate(time.Second)
	for k, paint := range coats {
		if short && k == len(coats)-1 {
			group = group[1:]
		}
		w.coat(h, group, paint, at.Add(-gap*time.Duration(len(coats)-k)), batch)
	}
	return last
}

// prepare flats the clear of the visit before, or measures what lies under the first.
func (w *world) prepare(h *hand, group []*job, at time.Time, batch restoration.ID) {
	for _, o := range group {
		switch on := o.coatsOn(); {
		case o.stage.Look != restoration.LookCleared:
		case on > 0:
			w.pass(h, o, at, restoration.CutPass{Grade: "P800", Wet: true}, batch)
		case o.car.finish.gauged:
			w.read(o.car, o.piece, h.person, at, w.gauge(104+float64(w.rnd.IntN(22)), true), batch)
		}
	}
}

// coat enters one coat on every piece of a group.
func (w *world) coat(h *hand, group []*job, paint int64, at time.Time, batch restoration.ID) {
	sheet := w.paints[paint-1].WetUM
	for _, o := range group {
		p := o.car.told.Pieces[o.piece]
		area := p.AreaM2
		if o.stage.Look == restoration.LookPrimed || o.stage.Look == restoration.LookGrounded {
			area = max(p.BothM2, p.AreaM2)
		}
		ml := tenth(max(area, 0.01) * sheet.Likely / w.settings.Film.Transfer * (1 + w.settings.Film.Waste))
		c := restoration.Coat{Number: o.coatsOn() + 1, Material: paint, ML: ml, Air: words(airAt(at, w.loc))}
		c.Lots = w.tinsFor(o.car, paint, ml, at)
		if o == h.job && c.Number == 1 && paint != paintGrain { // the comb is held to one piece
			wet := sheet.Low + 5*float64(w.rnd.IntN(int(sheet.High-sheet.Low)/5+1))
			c.WetUM = &wet
		}
		w.enter(o.car, restoration.Event{Kind: restoration.KindCoat, PieceID: o.car.ids[o.piece], StepID: o.step.ID, PersonID: h.person,
			DeviceID: tablet, At: at, Payload: restoration.Payload{Coat: &c, Batch: batch, Checks: o.scuffs(at)}})
	}
}

// pass enters that a piece was sanded or polished.
func (w *world) pass(h *hand, o *job, at time.Time, c restoration.CutPass, batch restoration.ID) {
	w.enter(o.car, restoration.Event{Kind: restoration.KindCutPass, PieceID: o.car.ids[o.piece], StepID: o.step.ID, PersonID: h.person,
		DeviceID: tablet, At: at, Payload: restoration.Payload{Cut: &c, Batch: batch}})
}

// putDown lays the job's piece and those beside it away until they may be sanded.
func (w *world) putDown(h *hand) {
	j, at := h.job, h.at
	w.enterStep(h, at, restoration.KindPause, restoration.Payload{Hours: w.logged(h)})
	for _, i := range append([]int{j.piece}, j.mates...) {
		s := w.jobOn(j.car, i).step
		j.car.down[i] = s.CoatedAt.Add(s.CoatWaits.Sand.Duration())
	}
	h.job = nil
}
