package restoration

import (
	"slices"
	"time"
)

// Lateness says how a car stands against its promised date.
type Lateness int

// The latenesses. Tight: the labour left of all cars promised by then is more than
// all hands have hours until the date.
const (
	OnTime Lateness = iota
	Tight
	Late
)

// Outlook judges every car of the shop by its id, with so many pairs of hands. The
// hands work for all cars, the earliest promised first, so a date is tight when the
// labour of every car promised up to it does not fit before it. The promised day
// itself still counts. Cars without a promised date, delivered or without anything
// left are on time.
func Outlook(cars []CarRoll, hands int, cal Calendar, now time.Time, loc *time.Location) map[int64]Lateness {
	due := slices.DeleteFunc(slices.Clone(cars), func(c CarRoll) bool {
		return c.Car.PromisedOn.IsZero() || c.Car.State == CarDelivered || c.Left == 0
	})
	slices.SortStableFunc(due, func(a, b CarRoll) int { return a.Car.PromisedOn.Compare(b.Car.PromisedOn) })
	outlook := make(map[int64]Lateness, len(cars))
	var left Minutes
	for i, c := range due {
		left += c.Left
		end := endOfDay(c.Car.PromisedOn, loc)
		switch {
		case !now.Before(end):
			outlook[c.Car.ID] = Late
		case i+1 < len(due) && due[i+1].Car.PromisedOn.Equal(c.Car.PromisedOn):
			// judged below, with all that is promised for the same day
		case left > cal.Between(now, end, loc)*Minutes(max(hands, 1)):
			markTight(outlook, due[:i+1], c.Car.PromisedOn)
		}
	}
	return outlook
}

// markTight marks the cars promised for a day.
func markTight(outlook map[int64]Lateness, cars []CarRoll, day time.Time) {
	for _, c := range cars {
		if c.Car.PromisedOn.Equal(day) {
			outlook[c.Car.ID] = Tight
		}
	}
}

// PromisedBy gives the labour left of all cars promised up to a day.
func PromisedBy(cars []CarRoll, day time.Time) Minutes {
	var left Minutes
	for _, c := range cars {
		if c.Car.State != CarDelivered && !c.Car.PromisedOn.IsZero() && !c.Car.PromisedOn.After(day) {
			left += c.Left
		}
	}
	return left
}

// endOfDay is the midnight after a date, in loc.
func endOfDay(date time.Time, loc *time.Location) time.Time {
	y, m, d := date.Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, loc)
}

// mostDays is how far ahead DoneBy looks.
const mostDays = 3 * 366

// DoneBy gives the day, as its midnight in loc, on which so many pairs of hands have
// worked so much from now on, all of them within the shop's hours. Zero when that is
// more than three years away.
func DoneBy(work Minutes, hands int, cal Calendar, now time.Time, loc *time.Location) time.Time {
	day := startOfDay(now.In(loc))
	from := now
	for range mostDays {
		end := day.AddDate(0, 0, 1)
		if work -= cal.Between(from, end, loc) * Minutes(max(hands, 1)); work <= 0 {
			return day
		}
		day, from = end, end
	}
	return time.Time{}
}
