package office

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// settingsProps is the page of the shop's own choices.
type settingsProps struct {
	Page ui.PageProps
	Form *form
}

func (o *Office) showSettings(w http.ResponseWriter, r *http.Request) error {
	return o.renderSettings(w, r, http.StatusOK, &form{values: settingsValues(visitOf(r).Settings)})
}

func (o *Office) renderSettings(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	return web.Render(w, r, status, settingsPage(settingsProps{
		Page: o.page(r, ui.PageProps{Title: "Settings", Nav: "settings",
			Lede: "The shop's own choices. Pieces whose hours are planned already keep them."}),
		Form: f,
	}))
}

func (o *Office) saveSettings(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	s := parseSettings(f, visitOf(r).Settings)
	if f.ok() {
		if err := f.take(o.shop.SaveSettings(r.Context(), visitOf(r).Actor(), s)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderSettings(w, r, http.StatusUnprocessableEntity, f)
	}
	o.done(r, "The settings are saved.")
	return web.SeeOther(w, r, "/office/settings")
}

// week is the days in the order in which a shop reads them.
func week() []time.Weekday {
	return []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday, time.Sunday}
}

// The names of fields of which there are several are those under which the rules of
// the settings speak of them.
func openField(d time.Weekday) string  { return fmt.Sprintf("day-%d", d) }
func closeField(d time.Weekday) string { return openField(d) + "-to" }
func fixedField(i int) string          { return fmt.Sprintf("fixed-%d", i) } // 0 low, 1 likely, 2 high
func gradeField(grade int) string      { return fmt.Sprintf("grade-%d", grade) }

// parseSettings reads the form of the settings; what it doesn't hold stays as before.
func parseSettings(f *form, before restoration.Settings) restoration.Settings {
	s := before
	s.ShopName, s.TimeZone, s.Units = f.line("shop_name"), parseZone(f), restoration.Units(f.get("units"))
	s.RateCents, s.Currency = f.money("rate"), f.line("currency")
	s.Labels.Address = f.lineUpTo("labels_address", maxText)
	s.Calendar, s.Factors = parseCalendar(f), parseFactors(f)
	s.Timers.Limit = f.hours("timer_limit")
	f.mustHold(s.Check())
	return s
}

// parseZone reads a time zone in any case. One that isn't known stays as it was typed,
// for the rules to refuse.
func parseZone(f *form) string {
	typed := f.line("time_zone")
	if zone, ok := restoration.FindTimeZone(typed); ok {
		return zone
	}
	return typed
}

func parseCalendar(f *form) restoration.Calendar {
	var c restoration.Calendar
	closed := true
	for _, d := range week() {
		c.Days[d] = parseDay(f, d)
		closed = closed && blank(f.get(openField(d))) && blank(f.get(closeField(d)))
	}
	if closed {
		f.fault(openField(time.Monday), "The shop needs one working day at least: no date could be promised.")
	}
	c.Holidays = parseHolidays(f)
	return c
}

// parseDay reads one day's hours; both fields empty mean closed.
func parseDay(f *form, d time.Weekday) restoration.WorkDay {
	opens, closes := openField(d), closeField(d)
	day := restoration.WorkDay{Open: read(f, opens, parseClock), Close: read(f, closes, parseClock)}
	if blank(f.get(opens)) != blank(f.get(closes)) {
		f.fault(opens, "Type both hours of %s, or neither where the shop is closed.", d)
	}
	return day
}

func blank(s string) bool { return strings.TrimSpace(s) == "" }

// parseHolidays reads one day a line, in any order.
func parseHolidays(f *form) []string {
	var days []string
	for _, l := range f.lines("holidays") {
		d, err := parseDate(l)
		if err != nil {
			f.fault("holidays", "“%.40s” is no day: write one a line, as 25 Dec 2026 or 2026-12-25.", l)
			continue
		}
		days = append(days, d.Format(time.DateOnly))
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// typedDays writes days as the hint of their field does.
func typedDays(days []string) []string {
	out := make([]string, len(days))
	for i, s := range days {
		out[i] = s
		if d, err := time.Parse(time.DateOnly, s); err == nil {
			out[i] = d.Format("2 Jan 2006")
		}
	}
	return out
}

func parseFactors(f *form) restoration.Factors {
	var out restoration.Factors
	for i := range out.Fixed {
		out.Fixed[i] = f.factor(fixedField(i), "work in the car, "+points[i])
	}
	for i := range out.Grade {
		out.Grade[i] = f.factor(gradeField(i+1), "grade "+gradeWord(i+1))
	}
	return out
}

// points are the words of a three-point estimate.
var points = [3]string{"low", "likely", "high"}

// factor reads a factor that must not stay empty.
func (f *form) factor(name, of string) float64 {
	if blank(f.get(name)) {
		f.fault(name, "Type the factor for %s; 1 changes nothing.", of)
	}
	return read(f, name, parseFactor)
}

// settingsValues fills the form so that parseSettings gives s again.
func settingsValues(s restoration.Settings) url.Values {
	v := url.Values{
		"shop_name": {s.ShopName}, "time_zone": {s.TimeZone}, "units": {string(s.Units)}, "rate": {typedMoney(s.RateCents)},
		"timer_limit": {typedHours(s.Timers.Limit)}, "currency": {s.Currency}, "labels_address": {s.Labels.Address}, "holidays": {strings.Join(typedDays(s.Calendar.Holidays), "\n")},
	}
	for _, d := range week() {
		if day := s.Calendar.Days[d]; day.Open < day.Close {
			v.Set(openField(d), typedClock(day.Open))
			v.Set(closeField(d), typedClock(day.Close))
		}
	}
	for i, factor := range s.Factors.Fixed {
		v.Set(fixedField(i), typedFactor(factor))
	}
	for i, factor := range s.Factors.Grade {
		v.Set(gradeField(i+1), typedFactor(factor))
	}
	return v
}

func gradeWord(grade int) string {
	return fmt.Sprintf("%d, %s", grade, restoration.GradeWord(grade))
}
