package office

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

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
	s := parseSettings(f)
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

// The names of fields of which there are several.
func openField(d time.Weekday) string  { return "open_" + strings.ToLower(d.String()) }
func closeField(d time.Weekday) string { return "close_" + strings.ToLower(d.String()) }
func gradeField(grade int) string      { return fmt.Sprintf("grade_%d", grade) }

// fixedFields are the factors of a piece worked in the car: low, likely, high.
var fixedFields = [3]string{"fixed_low", "fixed_likely", "fixed_high"}

// parseSettings reads the form of the settings.
func parseSettings(f *form) restoration.Settings {
	s := restoration.Settings{
		ShopName:  f.needed("shop", "Type the shop's name; customers see it."),
		TimeZone:  read(f, "zone", parseZone),
		Units:     oneOf(f, "units", []restoration.Units{restoration.Metric, restoration.US}),
		RateCents: f.money("rate"),
		Currency:  f.needed("currency", "Type the sign or code that stands before money, such as $ or EUR."),
		Calendar:  parseCalendar(f),
		Factors:   parseFactors(f),
	}
	if f.get("zone") == "" {
		f.fault("zone", "Type the shop's time zone, such as Europe/London.")
	}
	if utf8.RuneCountInString(s.Currency) > 8 {
		f.fault("currency", "A sign or code for money has at most 8 signs.")
	}
	return s
}

// parseZone reads the name of a time zone that this machine knows.
func parseZone(s string) (string, error) {
	if s != "Local" {
		if _, err := time.LoadLocation(s); err == nil {
			return s, nil
		}
	}
	return "", wrong("That time zone isn't known here. Write a place such as Europe/London or America/Chicago, or UTC.")
}

func parseCalendar(f *form) restoration.Calendar {
	var c restoration.Calendar
	worked := false
	for _, d := range week() {
		c.Days[d] = parseDay(f, d)
		worked = worked || c.Days[d].Open < c.Days[d].Close
	}
	if !worked && f.ok() {
		f.fault(openField(time.Monday), "The shop needs one working day at least: no date could be promised.")
	}
	c.Holidays = parseHolidays(f)
	return c
}

// parseDay reads one day's hours; both fields empty mean closed.
func parseDay(f *form, d time.Weekday) restoration.WorkDay {
	opens, closes := openField(d), closeField(d)
	day := restoration.WorkDay{Open: read(f, opens, parseClock), Close: read(f, closes, parseClock)}
	none := func(name string) bool { return strings.TrimSpace(f.get(name)) == "" }
	switch {
	case none(opens) && none(closes):
		return restoration.WorkDay{}
	case none(opens):
		f.fault(opens, "%s has an end but no beginning. Type both, or neither where the shop is closed.", d)
	case none(closes):
		f.fault(closes, "%s has a beginning but no end. Type both, or neither where the shop is closed.", d)
	case f.error(opens) == "" && f.error(closes) == "" && day.Close <= day.Open:
		f.fault(closes, "%s must end after it begins. Leave both empty where the shop is closed.", d)
	}
	return day
}

// parseHolidays reads one day a line, in any order.
func parseHolidays(f *form) []string {
	var days []string
	for _, l := range f.lines("holidays") {
		d, err := parseDate(l)
		if err != nil {
			f.fault("holidays", "“%.40s”: write one day a line, as 25 Dec 2026 or 2026-12-25.", l)
			continue
		}
		days = append(days, d.Format(time.DateOnly))
	}
	slices.Sort(days)
	return slices.Compact(days)
}

func parseFactors(f *form) restoration.Factors {
	var out restoration.Factors
	for i, name := range fixedFields {
		out.Fixed[i] = parseNeededFactor(f, name)
	}
	if f.ok() && (out.Fixed[0] > out.Fixed[1] || out.Fixed[1] > out.Fixed[2]) {
		f.fault(fixedFields[1], "The three must not fall: low, likely, high.")
	}
	for i := range out.Grade {
		out.Grade[i] = parseNeededFactor(f, gradeField(i+1))
	}
	return out
}

func parseNeededFactor(f *form, name string) float64 {
	if strings.TrimSpace(f.get(name)) == "" {
		f.fault(name, "Type a factor; 1 changes nothing.")
	}
	return read(f, name, parseFactor)
}

// settingsValues fills the form so that parseSettings gives s again.
func settingsValues(s restoration.Settings) url.Values {
	v := url.Values{
		"shop": {s.ShopName}, "zone": {s.TimeZone}, "units": {string(s.Units)}, "rate": {typedMoney(s.RateCents)},
		"currency": {s.Currency}, "holidays": {strings.Join(s.Calendar.Holidays, "\n")},
	}
	for _, d := range week() {
		if day := s.Calendar.Days[d]; day.Open < day.Close {
			v.Set(openField(d), typedClock(day.Open))
			v.Set(closeField(d), typedClock(day.Close))
		}
	}
	for i, name := range fixedFields {
		v.Set(name, typedFactor(s.Factors.Fixed[i]))
	}
	for i, factor := range s.Factors.Grade {
		v.Set(gradeField(i+1), typedFactor(factor))
	}
	return v
}

// zonesOffered are suggestions; any name of the time zone database may be typed.
func zonesOffered() []string {
	return []string{"Europe/London", "Europe/Dublin", "Europe/Berlin", "Europe/Paris", "Europe/Rome", "Europe/Stockholm",
		"America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles", "America/Toronto",
		"Australia/Sydney", "Pacific/Auckland", "Asia/Tokyo", "Africa/Johannesburg", "UTC"}
}

func gradeWord(grade int) string {
	switch grade {
	case 1:
		return "1, best"
	case 6:
		return "6, worst"
	}
	return fmt.Sprint(grade)
}
