package demo

import (
	"time"

	"scumble/internal/restoration"
)

// The midday break, in minutes after midnight.
const noon, afterNoon = 12 * 60, 12*60 + 45

// sitting gives the stretch of work that t falls into, else the next one. A day has
// two, before and after the midday break.
func (w *world) sitting(t time.Time) (from, to time.Time) {
	t = t.In(w.loc)
	for d := t; ; d = d.AddDate(0, 0, 1) {
		if !w.settings.Calendar.Open(d) {
			continue
		}
		hours := w.settings.Calendar.Days[d.Weekday()]
		for _, s := range [][2]int{{hours.Open, noon}, {afterNoon, hours.Close}} {
			if to := w.wall(d, s[1]); to.After(t) {
				return w.wall(d, s[0]), to
			}
		}
	}
}

// wall is the instant of t's day at which the clock shows so many minutes after midnight.
func (w *world) wall(t time.Time, minutes int) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, minutes, 0, 0, w.loc)
}

// morning gives the first working day at or before so many days ago, at so many
// minutes after opening. It never lies after now.
func (w *world) morning(daysAgo, minutes int) time.Time {
	return w.atWork(w.now.AddDate(0, 0, -daysAgo), minutes)
}

// workdaysAgo gives the nth working day before today, at so many minutes after opening.
func (w *world) workdaysAgo(n, minutes int) time.Time {
	d := w.now
	for range n {
		d = w.atWork(d.AddDate(0, 0, -1), 0)
	}
	return w.atWork(d, minutes)
}

// atWork goes back from d to a day on which the shop works, to an hour not after now.
func (w *world) atWork(d time.Time, minutes int) time.Time {
	for {
		if t := w.wall(d, w.settings.Calendar.Days[d.Weekday()].Open+minutes); w.settings.Calendar.Open(d) && !t.After(w.now) {
			return t
		}
		d = d.AddDate(0, 0, -1)
	}
}

// before gives an hour from which so much working time remains until now.
func (w *world) before(work restoration.Minutes) time.Time {
	t := w.now
	for w.settings.Calendar.Between(t, w.now, w.loc) < work {
		t = t.Add(-15 * time.Minute)
	}
	return t
}
