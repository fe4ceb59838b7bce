package bench

import (
	"net/http"
	"net/url"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// hoursView is a person's own hours: timers that are not logged, and the sheet of a week.
type hoursView struct {
	Page       ui.PageProps
	Timers     []timerForm
	Week       string
	Earlier    string
	Later      string // "" in the week that runs
	Days       []hoursDay
	Total      string
	NoneLogged bool
}

type hoursDay struct {
	Day, Hours string
	Rows       []hoursRow
}

type hoursRow struct{ Piece, Car, Stage, Span, Hours, Note string }

func (b *Bench) showHours(w http.ResponseWriter, r *http.Request) error {
	return b.renderHours(w, r, r.URL.Query(), nil)
}

func (b *Bench) renderHours(w http.ResponseWriter, r *http.Request, form url.Values, faults []ui.FieldError) error {
	v := visitOf(r)
	loc := v.shop.Location()
	week := chosenWeek(form.Get("week"), b.now(), loc)
	rows, err := b.shop.TimeSheet(r.Context(), week, week.AddDate(0, 0, 7), v.person.ID)
	if err != nil {
		return err
	}
	view := buildHours(rows, week, b.now(), loc)
	for _, t := range v.timers {
		f := b.newTimerForm(t, hoursPath)
		if f.Step == form.Get("step") {
			failHours(&f.Hours, form, faults)
		}
		view.Timers = append(view.Timers, f)
	}
	view.Page = b.frame(r, "My hours")
	view.Page.Back, view.Page.BackWord, view.Page.Timer = "/bench", "Ready now", nil
	view.Page.Flash, _ = b.heard(r)
	return web.Render(w, r, statusFor(faults), hoursPage(view))
}

// chosenWeek is the Monday of the week of a day; of now when that is none.
func chosenWeek(day string, now time.Time, loc *time.Location) time.Time {
	if t, err := time.ParseInLocation(time.DateOnly, day, loc); err == nil && t.Year() > 1990 && t.Before(now) {
		return restoration.WeekStart(t, loc)
	}
	return restoration.WeekStart(now, loc)
}

func buildHours(rows []restoration.SheetRow, week, now time.Time, loc *time.Location) hoursView {
	at := func(t time.Time) string { return hoursPath + "?week=" + t.Format(time.DateOnly) }
	v := hoursView{Week: week.Format("2 Jan") + " to " + week.AddDate(0, 0, 6).Format("2 Jan 2006"), Earlier: at(week.AddDate(0, 0, -7)),
		Total: ui.Hours(int(restoration.SheetTotal(rows))), NoneLogged: len(rows) == 0}
	if later := week.AddDate(0, 0, 7); later.Before(now) {
		v.Later = at(later)
	}
	for _, d := range restoration.SheetDays(rows, loc) {
		day := hoursDay{Day: d.Day.Format("Monday 2 January"), Hours: ui.Hours(int(d.Hours))}
		for _, row := range d.Rows {
			day.Rows = append(day.Rows, hoursRowOf(row, loc))
		}
		v.Days = append(v.Days, day)
	}
	return v
}

func hoursRowOf(row restoration.SheetRow, loc *time.Location) hoursRow {
	out := hoursRow{Piece: row.Piece, Car: row.CarWO, Stage: row.Stage, Hours: ui.Hours(int(row.Hours)), Span: "entered " + row.Event.At.In(loc).Format("15:04")}
	if !row.From.IsZero() {
		out.Span = row.From.In(loc).Format("15:04") + " to " + row.To.In(loc).Format("15:04")
		if row.From.In(loc).YearDay() != row.To.In(loc).YearDay() {
			out.Span = row.From.In(loc).Format("Mon 15:04") + " to " + row.To.In(loc).Format("Mon 15:04")
		}
	}
	if n := len(row.Corrections); n > 0 {
		last := row.Corrections[n-1]
		out.Note = "Was " + ui.Hours(int(row.Typed)) + "; " + last.By + ": " + last.Reason
	}
	return out
}
