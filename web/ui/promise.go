package ui

import (
	"math"
	"time"
)

// axisMark is one date on the line; X is a share of its width.
type axisMark struct {
	X      float64
	Anchor string // text-anchor that keeps the words inside the picture
	Text   string
}

// axisView is the line of a car's dates.
type axisView struct {
	Today, Promised axisMark
	From, To        float64 // expected range
	HasPromise      bool
	HasRange        bool
	Overdue         bool
}

// view places the dates. The line runs from the first of them to a little past
// the last.
func (p PromiseAxisProps) view() axisView {
	first, last := p.Now, p.Now
	for _, t := range []time.Time{p.Start, p.Promised, p.Early, p.Late} {
		if t.IsZero() {
			continue
		}
		if t.Before(first) {
			first = t
		}
		if t.After(last) {
			last = t
		}
	}
	length := math.Max(last.Sub(first).Hours(), 24) * 1.06
	share := func(t time.Time) float64 { return t.Sub(first).Hours() / length }
	v := axisView{
		Today:      newMark(share(p.Now), "today"),
		HasPromise: !p.Promised.IsZero(),
		HasRange:   !p.Early.IsZero() && !p.Late.IsZero(),
		Overdue:    p.late() > 0,
	}
	if v.HasPromise {
		v.Promised = newMark(share(p.Promised), "promised "+inZone(p.Promised, p.Loc, "2 Jan"))
	}
	if v.HasRange {
		v.From, v.To = share(p.Early), share(p.Late)
	}
	return v
}

func newMark(x float64, text string) axisMark {
	m := axisMark{X: x, Anchor: "middle", Text: text}
	switch {
	case x < 0.2:
		m.Anchor = "start"
	case x > 0.8:
		m.Anchor = "end"
	}
	return m
}

// late is how many days the promised day has passed; 0 on the day itself, and
// for a car that is done.
func (p PromiseAxisProps) late() int {
	if p.Promised.IsZero() || p.Done {
		return 0
	}
	return max(p.days(p.Promised, p.Now), 0)
}

// days from the date of one instant to that of another, in the shop's zone.
func (p PromiseAxisProps) days(from, to time.Time) int {
	return int(math.Round(midnight(to, p.Loc).Sub(midnight(from, p.Loc)).Hours() / 24))
}

// says is the promise in words, lateness first.
func (p PromiseAxisProps) says() string {
	if p.Promised.IsZero() {
		return "No date promised yet." + p.expected()
	}
	day := Day(p.Promised, p.Loc)
	if p.Done {
		return "Promised " + day + "."
	}
	switch away := p.days(p.Now, p.Promised); {
	case away < 0:
		return "Late: promised " + day + ", " + Count(-away, "day", "days") + " ago." + p.expected()
	case away == 0:
		return "Promised today, " + day + "." + p.expected()
	default:
		return "Promised " + day + ", in " + Count(away, "day", "days") + "." + p.expected()
	}
}

func (p PromiseAxisProps) expected() string {
	if p.Early.IsZero() || p.Late.IsZero() {
		return ""
	}
	return " Expected between " + Day(p.Early, p.Loc) + " and " + Day(p.Late, p.Loc) + "."
}
