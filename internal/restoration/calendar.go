package restoration

import (
	"slices"
	"time"
)

// Minutes gives the length of the day's work.
func (d WorkDay) Minutes() Minutes { return Minutes(max(d.Close-d.Open, 0)) }

// Open tells whether the shop works on the day of t, in t's own zone.
func (c Calendar) Open(t time.Time) bool {
	return c.Days[t.Weekday()].Minutes() > 0 && !slices.Contains(c.Holidays, t.Format(time.DateOnly))
}

// Between gives the working time of one pair of hands from one instant to another,
// both seen in loc. Zero when to is not after from. A day's hours are those on the
// wall: the hour that daylight saving takes or gives at night changes nothing.
func (c Calendar) Between(from, to time.Time, loc *time.Location) Minutes {
	from, to = from.In(loc), to.In(loc)
	var sum Minutes
	for day := from; !startOfDay(day).After(to); day = day.AddDate(0, 0, 1) {
		if !c.Open(day) {
			continue
		}
		hours := c.Days[day.Weekday()]
		open, shut := wall(day, hours.Open), wall(day, hours.Close)
		if open.Before(from) {
			open = from
		}
		if shut.After(to) {
			shut = to
		}
		if shut.After(open) {
			sum += Minutes(shut.Sub(open) / time.Minute)
		}
	}
	return sum
}

// NextOpen gives the first instant from t on at which the shop works, or t itself
// when the shop never opens within a year.
func (c Calendar) NextOpen(t time.Time, loc *time.Location) time.Time {
	t = t.In(loc)
	for i, day := 0, t; i < 366; i, day = i+1, day.AddDate(0, 0, 1) {
		hours := c.Days[day.Weekday()]
		switch open, shut := wall(day, hours.Open), wall(day, hours.Close); {
		case !c.Open(day) || !t.Before(shut):
			continue
		case open.After(t):
			return open
		default:
			return t
		}
	}
	return t
}

// startOfDay is midnight of t's day in t's zone.
func startOfDay(t time.Time) time.Time { return wall(t, 0) }

// wall is the instant of t's day at which the clock on the wall shows so many
// minutes after midnight.
func wall(t time.Time, minutes int) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, minutes, 0, 0, t.Location())
}
