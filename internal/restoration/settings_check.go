package restoration

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// The bounds of what a shop may set. They catch slips, not opinions.
const (
	MaxRateCents         = 10_000_00 // per hour
	MaxCurrency          = 4         // signs
	MinFactor, MaxFactor = 0.1, 10.0
	maxHolidays          = 1000
	minutesOfDay         = 24 * 60
)

// Check lists what can't be right, each at its field: shop_name, time_zone, units,
// rate, currency, day-0 (Sunday) to day-6, holidays, fixed-0 to fixed-2 (low, likely,
// high), grade-1 to grade-6, labels_address, timer_limit, and those of the film and of the
// label sheet. Nil is all right.
func (s Settings) Check() []*Problem {
	var found []*Problem
	add := func(field, format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, field, format, args...))
	}
	if p := CheckName("shop_name", "The shop", s.ShopName); p != nil {
		found = append(found, p)
	}
	if zone, ok := FindTimeZone(s.TimeZone); !ok || zone != s.TimeZone {
		add("time_zone", "%.60q is no time zone known here: write continent and city, such as Europe/Paris or America/Chicago.", s.TimeZone)
	}
	if s.Units != Metric && s.Units != US {
		add("units", "The units are metric or us.")
	}
	if s.RateCents < 0 || s.RateCents > MaxRateCents {
		add("rate", "The rate per hour must be from 0 to %d.", MaxRateCents/100)
	}
	if n := utf8.RuneCountInString(s.Currency); n > MaxCurrency || strings.TrimSpace(s.Currency) != s.Currency {
		add("currency", "The currency is a sign or a code of at most %d characters, with no blanks around it.", MaxCurrency)
	}
	return slices.Concat(found, s.Calendar.check(), s.Factors.check(), s.Film.check(s.Units), s.Labels.check(s.Units), s.Timers.check())
}

func (c Calendar) check() []*Problem {
	var found []*Problem
	for i, d := range c.Days {
		if d.Open < 0 || d.Close > minutesOfDay || d.Open > d.Close {
			found = append(found, Problemf(TroubleInvalid, fmt.Sprintf("day-%d", i),
				"%s must open before it closes, between 00:00 and 24:00; leave both empty when the shop is closed.", time.Weekday(i)))
		}
	}
	if len(c.Holidays) > maxHolidays {
		found = append(found, Problemf(TroubleInvalid, "holidays", "List at most %d holidays: take the old ones out.", maxHolidays))
	}
	for _, h := range c.Holidays {
		if _, err := time.Parse(time.DateOnly, h); err != nil {
			found = append(found, Problemf(TroubleInvalid, "holidays", "%.20q is no date: write year-month-day, such as 2026-12-25.", h))
		}
	}
	return found
}

func (f Factors) check() []*Problem {
	var found []*Problem
	add := func(field, format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, field, format, args...))
	}
	inRange := func(x float64) bool { return x >= MinFactor && x <= MaxFactor } // false for NaN
	for i, x := range f.Fixed {
		if !inRange(x) {
			add(fmt.Sprintf("fixed-%d", i), "A factor must be from %g to %g.", MinFactor, MaxFactor)
		}
	}
	if f.Fixed[0] > f.Fixed[1] || f.Fixed[1] > f.Fixed[2] {
		add("fixed-1", "The factors for work in the car must rise from low over likely to high.")
	}
	for i, x := range f.Grade {
		if !inRange(x) {
			add(fmt.Sprintf("grade-%d", i+1), "A factor must be from %g to %g.", MinFactor, MaxFactor)
		}
	}
	return found
}
