package office

import (
	"fmt"
	"math"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// dates are how the cars of the shop stand against what was promised. The hands work
// for all of them, so no car is judged alone.
type dates struct {
	cars    []restoration.CarRoll
	outlook map[int64]restoration.Lateness
	hands   int
	cal     restoration.Calendar
	now     time.Time
	loc     *time.Location
	says    map[int64]string // what tight has said, by car: a page asks twice
}

func newDates(cars []restoration.CarRoll, hands int, cal restoration.Calendar, now time.Time, loc *time.Location) dates {
	return dates{cars, restoration.Outlook(cars, hands, cal, now, loc), hands, cal, now, loc, map[int64]string{}}
}

func (d dates) of(c restoration.Car) restoration.Lateness { return d.outlook[c.ID] }

// words say how a car stands; "" when there is nothing to fear or nothing promised.
func (d dates) words(c restoration.Car) string {
	switch d.of(c) {
	case restoration.Late:
		return ui.Count(max(daysApart(dayIn(c.PromisedOn, d.loc), d.now, d.loc), 1), "day", "days") + " late"
	case restoration.Tight:
		return "tight: " + d.tight(c)
	}
	return ""
}

// tight says why a promised date is tight.
func (d dates) tight(c restoration.Car) string {
	if said, ok := d.says[c.ID]; ok {
		return said
	}
	have := d.cal.Between(d.now, dayIn(c.PromisedOn, d.loc).AddDate(0, 0, 1), d.loc) * restoration.Minutes(max(d.hands, 1))
	d.says[c.ID] = fmt.Sprintf("%s are left of all cars promised by %s, %s of hands until then",
		hoursOf(restoration.PromisedBy(d.cars, c.PromisedOn)), promisedWords(c, d.loc), hoursOf(have))
	return d.says[c.ID]
}

// sum says how long the hands need for all that comes before a car and for the car
// itself, beside what was promised; "" where nothing was, or nothing is left.
func (d dates) sum(c restoration.Car, left restoration.Minutes) string {
	if c.PromisedOn.IsZero() || left == 0 {
		return ""
	}
	cars := len(slices.DeleteFunc(slices.Clone(d.cars), func(o restoration.CarRoll) bool {
		return o.Left == 0 || restoration.PromisedBy([]restoration.CarRoll{o}, c.PromisedOn) == 0
	}))
	due := restoration.PromisedBy(d.cars, c.PromisedOn)
	text := hoursOf(left) + " are left on it"
	if cars > 1 {
		text += fmt.Sprintf(", %s on the %d cars promised by then", hoursOf(due), cars)
	}
	if end := restoration.DoneBy(due, d.hands, d.cal, d.now, d.loc); !end.IsZero() {
		text += fmt.Sprintf("; %s of hands work until %s, waits not counted", ui.Count(max(d.hands, 1), "pair", "pairs"), ui.Day(end, d.loc))
	}
	return text + "; promised for " + promisedWords(c, d.loc) + "."
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
