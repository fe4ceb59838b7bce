package office

import (
	"fmt"
	"math"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// lateness says in words how a car stands against its promised date; "" when there
// is nothing to fear or nothing promised.
func lateness(c restoration.Car, left restoration.Minutes, hands int, cal restoration.Calendar, now time.Time, loc *time.Location) string {
	switch restoration.LatenessOf(c, left, hands, cal, now, loc) {
	case restoration.Late:
		return ui.Count(max(daysApart(dayIn(c.PromisedOn, loc), now, loc), 1), "day", "days") + " late"
	case restoration.Tight:
		have := cal.Between(now, dayIn(c.PromisedOn, loc).AddDate(0, 0, 1), loc)
		return fmt.Sprintf("tight: %s left, %s until then for %s", hoursOf(left),
			hoursOf(have*restoration.Minutes(max(hands, 1))), ui.Count(max(hands, 1), "pair of hands", "pairs of hands"))
	}
	return ""
}

// daysApart is how many calendar days lie between two instants in the shop's zone.
func daysApart(from, to time.Time, loc *time.Location) int {
	midnight := func(t time.Time) time.Time {
		y, m, d := t.In(loc).Date()
		return time.Date(y, m, d, 0, 0, 0, 0, loc)
	}
	return int(math.Round(midnight(to).Sub(midnight(from)).Hours() / 24))
}

// promisedWords is a promised date for a table: "Fri 27 Mar 2026".
func promisedWords(c restoration.Car, loc *time.Location) string {
	if c.PromisedOn.IsZero() {
		return "no date yet"
	}
	return ui.Day(dayIn(c.PromisedOn, loc), loc)
}

// hands counts the people who work at the bench.
func hands(people []restoration.Person) int {
	n := 0
	for _, p := range people {
		if p.LeftAt.IsZero() && p.HasPIN {
			n++
		}
	}
	return n
}
