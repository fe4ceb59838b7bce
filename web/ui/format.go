package ui

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// None stands where a value is not known.
const None = "–"

// When is an instant in the shop's zone: "Fri 27 Mar 2026, 14:30". A zero time
// is None, a nil zone UTC; the same for Day and Clock.
func When(t time.Time, loc *time.Location) string { return inZone(t, loc, "Mon 2 Jan 2006, 15:04") }

// Day is the date of an instant: "Fri 27 Mar 2026".
func Day(t time.Time, loc *time.Location) string { return inZone(t, loc, "Mon 2 Jan 2006") }

// Clock is the hour of an instant on the same day as now, "16:40"; within the
// six days after it with the weekday, "Fri 07:40"; otherwise with the date,
// "27 Mar 07:40".
func Clock(t, now time.Time, loc *time.Location) string {
	day, today := midnight(t, loc), midnight(now, loc)
	// Days of 23 and 25 hours round to a whole one.
	switch days := int(math.Round(day.Sub(today).Hours() / 24)); {
	case days == 0:
		return inZone(t, loc, "15:04")
	case days > 0 && days < 7:
		return inZone(t, loc, "Mon 15:04")
	}
	return inZone(t, loc, "2 Jan 15:04")
}

// Span is the time from now to t in words: "in 3 h", "20 min ago", "now". What is
// past rounds down; what is to come rounds up, so that nobody comes too early.
func Span(t, now time.Time) string {
	if t.IsZero() {
		return None
	}
	switch d := t.Sub(now); {
	case d > 0:
		return "in " + spanWords(d, func(n, unit time.Duration) int { return int((n + unit - 1) / unit) })
	case d > -time.Minute:
		return "now"
	default:
		return spanWords(-d, func(n, unit time.Duration) int { return int(n / unit) }) + " ago"
	}
}

// Until is the time from now to an hour to come: below two days in hours, beyond that
// in days of the shop's calendar, as the hour beside it is read.
func Until(t, now time.Time, loc *time.Location) string {
	if t.Sub(now) <= 47*time.Hour {
		return Span(t, now)
	}
	return "in " + Count(int(math.Round(midnight(t, loc).Sub(midnight(now, loc)).Hours()/24)), "day", "days")
}

// spanWords is a span in the largest unit that holds it, as whole says how many.
func spanWords(d time.Duration, whole func(n, unit time.Duration) int) string {
	const day = 24 * time.Hour
	const month = 3044 * day / 100 // 365.25 days ÷ 12, to the hundredth
	switch {
	case whole(d, time.Minute) < 60:
		return strconv.Itoa(whole(d, time.Minute)) + " min"
	case whole(d, time.Hour) < 48:
		return strconv.Itoa(whole(d, time.Hour)) + " h"
	case whole(d, day) < 60:
		return Count(whole(d, day), "day", "days")
	}
	return Count(whole(d, month), "month", "months")
}

// Hours is minutes as hours with their unit: 105 is "1.75 h".
func Hours(minutes int) string { return hoursNumber(minutes) + " h" }

// HoursLost says what it costs to send a piece back to a stage and by what it goes: "usually
// 1 h" for the defect, "10.33 h as planned" of all that is done again.
func HoursLost(p restoration.Piece, r restoration.Route, defect, stage string) string {
	hours := Hours(int(restoration.HoursLost(p, r, defect, stage).Likely))
	if restoration.LostAsUsual(p, r, defect, stage) {
		return "usually " + hours
	}
	return hours + " as planned"
}

// HoursFloat is hours with their unit, to the hundredth: 1.75 is "1.75 h".
// What is no number is None.
func HoursFloat(h float64) string {
	if math.IsNaN(h) || math.IsInf(h, 0) {
		return None
	}
	return trimNumber(h, 2) + " h"
}

// Percent is a share of 1 as a whole percentage. It rounds down: 100 % is said
// only when nothing is left.
func Percent(share float64) string {
	if math.IsNaN(share) || math.IsInf(share, 0) {
		return None
	}
	return strconv.Itoa(int(math.Floor(share*100+1e-9))) + " %"
}

// figureUnit is the blank between a figure and its unit, or between the letter of a
// colour and its figure.
var figureUnit = regexp.MustCompile(`(\d) (µm|mil|mL|L|fl oz|US gal|°C|°F|d|h|min|GU)\b|[Lab]\* [-−]?\d`)

// Unbroken keeps every figure of a text on one line with its unit, "0.29 fl oz", and those
// of a colour with their letters, "b* 43.3".
func Unbroken(text string) string {
	return figureUnit.ReplaceAllStringFunc(text, func(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") })
}

// Area is square metres in the shop's unit: "0.42 m²", or "4.5 ft²" where us is set.
func Area(m2 float64, us bool) string {
	switch {
	case math.IsNaN(m2) || math.IsInf(m2, 0) || m2 <= 0:
		return None
	case us:
		return trimNumber(m2/coating.M2PerFT2, 1) + " ft²"
	case m2 < 0.1:
		return trimNumber(m2, 3) + " m²"
	}
	return trimNumber(m2, 2) + " m²"
}

// Count is a number with its noun: "1 piece", "12 pieces".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// Num is a figure as shown in a column: to the given number of places, always
// all of them, so that the points stand below one another.
func Num(v float64, places int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return None
	}
	return strconv.FormatFloat(v, 'f', places, 64)
}

func hoursNumber(minutes int) string { return trimNumber(float64(minutes)/60, 2) }

// trimNumber rounds to places and drops the zeros that carry nothing.
func trimNumber(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func inZone(t time.Time, loc *time.Location, layout string) string {
	if t.IsZero() {
		return None
	}
	return t.In(zone(loc)).Format(layout)
}

func midnight(t time.Time, loc *time.Location) time.Time {
	y, m, d := t.In(zone(loc)).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, zone(loc))
}

func zone(loc *time.Location) *time.Location {
	if loc == nil {
		return time.UTC
	}
	return loc
}

// coord writes a length for an SVG attribute.
func coord(v float64) string { return trimNumber(v, 1) }

// pct writes a share of 1 as an SVG percentage.
func pct(v float64) string { return trimNumber(v*100, 2) + "%" }
