package restoration

import (
	"cmp"
	"slices"
	"time"
)

// Span is a time through which a clock ran.
type Span struct{ From, To time.Time }

// Timer is one person's clock on one step: what ran and is not logged yet.
type Timer struct {
	PersonID        int64
	CarID           int64
	PieceID, StepID ID
	Piece, Stage    string    // as a person reads them
	CarWO, Car      string    // its work order and name
	Spans           []Span    // closed
	Running         time.Time // since when; zero: it stands still
}

// Until gives the spans of a timer with the one that runs closed at now.
func (t Timer) Until(now time.Time) []Span {
	if t.Running.IsZero() || !now.After(t.Running) {
		return t.Spans
	}
	return append(slices.Clone(t.Spans), Span{t.Running, now})
}

// Worked is what the timer shows at now, in whole minutes of the sum of its spans.
func (t Timer) Worked(now time.Time) Minutes { return worked(t.Until(now)) }

// WorkedAt is the hour for whose day m count, said of the timer at now: see [Sheet].
func (t Timer) WorkedAt(m Minutes, now time.Time) time.Time {
	row := SheetRow{Entry: Entry{Event: Event{Kind: KindPause, At: now}}, Typed: m}
	row.clock(t.Until(now))
	return row.WorkedAt
}

func worked(spans []Span) Minutes {
	var sum time.Duration
	for _, s := range spans {
		sum += s.To.Sub(s.From)
	}
	return Minutes(sum / time.Minute)
}

// Quarters rounds to the nearest quarter of an hour, one at least: as hours are offered.
func (m Minutes) Quarters() Minutes { return max(15, (m+7)/15*15) }

// StepClockKinds lists the kinds about one step that move a clock, or the hours logged.
func StepClockKinds() []Kind {
	return []Kind{KindStart, KindPause, KindTick, KindUntick, KindSkip, KindLogTime, KindCorrect}
}

// StopKinds lists the kinds about a whole piece or car that stop its clocks.
func StopKinds() []Kind {
	return []Kind{KindHold, KindSendBack, KindRemove, KindCarHold, KindCarDeliver}
}

// Timers gives a person's clocks that run or hold something not logged yet, the one
// that runs first, then the latest. entries are those of [StepClockKinds] about the
// steps that the person has started, and of [StopKinds], in any order; others do no
// harm. Clocks follow the hour at
// which things happened, so that what arrives late changes nothing else.
func Timers(entries []Entry, person int64) []Timer {
	c := windClocks(entries)
	var list []Timer
	for _, t := range c.timers {
		if t.PersonID == person && (!t.Running.IsZero() || len(t.Spans) > 0) {
			list = append(list, *t)
		}
	}
	slices.SortFunc(list, func(a, b Timer) int {
		if first := a.Running.IsZero(); first != b.Running.IsZero() {
			return map[bool]int{true: 1, false: -1}[first]
		}
		return cmp.Or(b.lastFrom().Compare(a.lastFrom()), slices.Compare(a.StepID[:], b.StepID[:]))
	})
	return list
}

func (t Timer) lastFrom() time.Time {
	if n := len(t.Spans); t.Running.IsZero() && n > 0 {
		return t.Spans[n-1].From
	}
	return t.Running
}

// clocks are the timers of everybody in the entries, wound on from entry to entry.
type clocks struct {
	timers  map[clockKey]*Timer
	running map[int64]*Timer // by person: one each
	settled map[ID]bool      // steps that are done or skipped
	logged  map[ID][]Span    // what each entry that logs hours took off its person's clock
	ticked  map[ID]Event     // by step: the entry that ticked it last
}

type clockKey struct {
	person int64
	step   ID
}

func windClocks(entries []Entry) *clocks {
	c := &clocks{timers: map[clockKey]*Timer{}, running: map[int64]*Timer{}, settled: map[ID]bool{}, logged: map[ID][]Span{}, ticked: map[ID]Event{}}
	entries = slices.Clone(entries)
	slices.SortStableFunc(entries, func(a, b Entry) int {
		return cmp.Or(a.Event.At.Compare(b.Event.At), slices.Compare(a.Event.ID[:], b.Event.ID[:]))
	})
	for _, e := range entries {
		if e.Outcome.Result != Refused {
			c.wind(e)
		}
	}
	return c
}

func (c *clocks) wind(e Entry) {
	switch ev := e.Event; ev.Kind {
	case KindStart:
		c.start(e)
	case KindPause:
		if ev.Hours != nil || slices.Contains(ev.Checks, CheckNotWorked) {
			c.log(ev)
		}
		c.stop(ev.At, func(t *Timer) bool { return t.PersonID == ev.PersonID && t.StepID == ev.StepID })
	case KindLogTime:
		c.log(ev)
	case KindTick:
		c.log(ev)
		c.ticked[ev.StepID] = ev
		c.settle(ev)
	case KindSkip:
		c.settle(ev)
	case KindUntick:
		c.untick(ev)
	case KindHold, KindSendBack, KindRemove:
		c.stop(ev.At, func(t *Timer) bool { return t.PieceID == ev.PieceID })
	case KindCarHold, KindCarDeliver:
		c.stop(ev.At, func(t *Timer) bool { return t.CarID == ev.CarID })
	}
}

// start sets a person's clock going, unless it goes on that step already or the step is
// done by then. The one that went stops: a person has one pair of hands.
func (c *clocks) start(e Entry) {
	ev := e.Event
	if c.settled[ev.StepID] {
		return
	}
	if t := c.running[ev.PersonID]; t != nil && t.StepID == ev.StepID {
		return
	}
	c.stop(ev.At, func(t *Timer) bool { return t.PersonID == ev.PersonID })
	key := clockKey{ev.PersonID, ev.StepID}
	t := c.timers[key]
	if t == nil {
		t = &Timer{PersonID: ev.PersonID, CarID: ev.CarID, PieceID: ev.PieceID, StepID: ev.StepID, Piece: e.Piece, Stage: e.Stage, CarWO: e.CarWO, Car: e.Car}
		c.timers[key] = t
	}
	t.Running = ev.At
	c.running[ev.PersonID] = t
}

// stop closes the running spans of the timers that fit.
func (c *clocks) stop(at time.Time, fits func(*Timer) bool) {
	for person, t := range c.running {
		if fits(t) {
			if at.After(t.Running) {
				t.Spans = append(t.Spans, Span{t.Running, at})
			}
			t.Running = time.Time{}
			delete(c.running, person)
		}
	}
}

// log takes off the clock what a person says of a step, whatever hours they are: they
// are the person's own word for all that ran until then. A clock that runs runs on from
// nought.
func (c *clocks) log(ev Event) {
	t := c.timers[clockKey{ev.PersonID, ev.StepID}]
	if t == nil {
		return
	}
	c.logged[ev.ID] = t.Until(ev.At)
	t.Spans = nil
	if !t.Running.IsZero() {
		t.Running = ev.At
	}
}

func (c *clocks) settle(ev Event) {
	c.settled[ev.StepID] = true
	c.stop(ev.At, func(t *Timer) bool { return t.StepID == ev.StepID })
}

// untick opens the step again. Where it takes back the hours of the tick, the clock shows
// again what it had shown.
func (c *clocks) untick(ev Event) {
	c.settled[ev.StepID] = false
	tick := c.ticked[ev.StepID]
	if t := c.timers[clockKey{tick.PersonID, ev.StepID}]; t != nil && ev.Hours != nil {
		t.Spans = append(slices.Clone(c.logged[tick.ID]), t.Spans...)
		delete(c.logged, tick.ID)
	}
}
