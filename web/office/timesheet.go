package office

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const timesheetPath = "/office/timesheet"

// Keys of the query of the time sheet, beside its two dates.
const (
	sheetPersonKey = "person"
	sheetCarKey    = "car"
	sheetStageKey  = "stage"
)

func (o *Office) timesheetRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/timesheet", h(o.showTimesheet))
	r.Get("/timesheet.csv", h(o.timesheetTable))
	r.Get("/timesheet.xlsx", h(o.timesheetBook))
	r.Get("/timesheet/{entry}", h(o.showCorrect))
	r.Post("/timesheet/{entry}", h(o.correctTime))
}

// timesheetPage is who worked how long on what.
type timesheetPage struct {
	Page               ui.PageProps
	Form               *form
	From, To           ui.FieldProps
	Person, Car, Stage ui.SelectProps
	Days               []restoration.SheetDay
	Sums               []sheetTally
	Total              restoration.Minutes
	Table, Book, Here  string
	Loc                *time.Location
}

// sheetTally adds the hours up by one thing.
type sheetTally struct {
	Word string
	Sums []restoration.SheetSum
}

func (o *Office) showTimesheet(w http.ResponseWriter, r *http.Request) error {
	rows, all, f, err := o.chosenSheet(r)
	if err != nil {
		return err
	}
	v, query := visitOf(r), r.URL.Query().Encode()
	date := func(key, label string) ui.FieldProps {
		return f.field(ui.FieldProps{Name: key, Label: label, Type: "date"})
	}
	p := timesheetPage{
		Page: o.page(r, ui.PageProps{Title: "Time sheet", Nav: navRecords, Lede: "What was logged on the steps. Without dates: since Monday."}),
		Form: f, From: date(fromKey, "From"), To: date(toKey, "To"),
		Person: f.choice(ui.SelectProps{Name: sheetPersonKey, Label: "Person", Options: choicesOf(restoration.SheetSums(all, byPersonID))}),
		Car:    f.choice(ui.SelectProps{Name: sheetCarKey, Label: "Car", Options: choicesOf(restoration.SheetSums(all, byCarOf))}),
		Stage:  f.choice(ui.SelectProps{Name: sheetStageKey, Label: "Stage", Options: choicesOf(restoration.SheetStages(all))}),
		Days:   restoration.SheetDays(rows, v.Loc), Total: restoration.SheetTotal(rows), Loc: v.Loc,
		Table: timesheetPath + ".csv?" + query, Book: timesheetPath + ".xlsx?" + query, Here: query,
	}
	p.Sums = []sheetTally{{"Car", restoration.SheetSums(rows, byCarOf)}, {"Stage", restoration.SheetStages(rows)}, {"Person", restoration.SheetSums(rows, byPersonName)},
		{"Day", restoration.SheetSums(rows, byDay(v.Loc))}, {"Week", restoration.SheetSums(rows, byWeek(v.Loc))}}
	return web.Render(w, r, http.StatusOK, timesheetView(p))
}

func byPersonID(r restoration.SheetRow) (string, string)   { return formatID(r.Event.PersonID), r.Person }
func byPersonName(r restoration.SheetRow) (string, string) { return r.Person, r.Person }
func byCarOf(r restoration.SheetRow) (string, string)      { return r.CarWO, r.CarWO + " " + r.Car }

func byDay(loc *time.Location) func(restoration.SheetRow) (string, string) {
	return func(r restoration.SheetRow) (string, string) {
		return r.WorkedAt.In(loc).Format(time.DateOnly), ui.Day(r.WorkedAt, loc)
	}
}

func byWeek(loc *time.Location) func(restoration.SheetRow) (string, string) {
	return func(r restoration.SheetRow) (string, string) {
		monday := restoration.WeekStart(r.WorkedAt, loc)
		return monday.Format(time.DateOnly), "from " + ui.Day(monday, loc)
	}
}

// choicesOf are the choices of a filter: what the rows of those days have.
func choicesOf(sums []restoration.SheetSum) []ui.Option {
	list := []ui.Option{{Value: "", Word: "all"}}
	for _, s := range sums {
		list = append(list, ui.Option{Value: s.Key, Word: s.Word})
	}
	return list
}

// chosenSheet lists the rows that the address chooses, and all of its days.
func (o *Office) chosenSheet(r *http.Request) (chosen, all []restoration.SheetRow, f *form, err error) {
	v := visitOf(r)
	f = &form{values: r.URL.Query()}
	from, to := f.between(v.Now, v.Loc, restoration.WeekStart(v.Now, v.Loc))
	if all, err = o.shop.TimeSheet(r.Context(), from, to, 0); err != nil {
		return nil, nil, f, err
	}
	person, _ := strconv.ParseInt(f.get(sheetPersonKey), 10, 64) // what is no number chooses nobody else
	return restoration.SheetFilter{PersonID: person, CarWO: f.get(sheetCarKey), Stage: f.get(sheetStageKey)}.Choose(all), all, f, nil
}

// clockWords says from when to when the clock of a row ran, or when it was entered.
func clockWords(row restoration.SheetRow, loc *time.Location) string {
	if row.From.IsZero() {
		return "entered " + row.Event.At.In(loc).Format("15:04")
	}
	layout := "15:04"
	if !slices.Equal(dayOf(row.From, loc), dayOf(row.To, loc)) {
		layout = "Mon 15:04"
	}
	text := row.From.In(loc).Format(layout) + "–" + row.To.In(loc).Format(layout)
	if row.Paused > 0 {
		text += ", paused " + row.Paused.String()
	}
	return text
}

func dayOf(t time.Time, loc *time.Location) []int {
	t = t.In(loc)
	return []int{t.Year(), t.YearDay()}
}

// correctPage puts other hours in the place of those of an entry.
type correctPage struct {
	Page   ui.PageProps
	Form   *form
	Row    restoration.SheetRow
	Hours  ui.FieldProps
	Reason ui.FieldProps
	ID     string
	Action string
	Back   string
	Loc    *time.Location
}

// sheetRow finds the row of the entry that the address names; day says where to look.
func (o *Office) sheetRow(r *http.Request) (restoration.SheetRow, error) {
	none := restoration.Problemf(restoration.TroubleNotFound, "", "There is no such entry of hours. Look at the time sheet again.")
	id, err := restoration.ParseID(chi.URLParam(r, "entry"))
	if err != nil {
		return restoration.SheetRow{}, none
	}
	day, err := time.ParseInLocation(time.DateOnly, r.URL.Query().Get("day"), visitOf(r).Loc)
	if err != nil {
		return restoration.SheetRow{}, none
	}
	rows, err := o.shop.TimeSheet(r.Context(), day.Add(-restoration.SheetBack), day.AddDate(0, 0, 1), 0)
	if err != nil {
		return restoration.SheetRow{}, err
	}
	i := slices.IndexFunc(rows, func(row restoration.SheetRow) bool { return row.Event.ID == id })
	if i < 0 {
		return restoration.SheetRow{}, none
	}
	return rows[i], nil
}

func correctPath(row restoration.SheetRow, loc *time.Location, back string) string {
	return correctEntryPath(row.Entry, row.WorkedAt, loc, back)
}

// correctEntryPath is where the hours of an entry are corrected; at is when they were
// worked, or up to [restoration.SheetBack] later.
func correctEntryPath(e restoration.Entry, at time.Time, loc *time.Location, back string) string {
	q := url.Values{"day": {at.In(loc).Format(time.DateOnly)}, "back": {back}}
	return timesheetPath + "/" + e.Event.ID.String() + "?" + q.Encode()
}

func (o *Office) showCorrect(w http.ResponseWriter, r *http.Request) error {
	row, err := o.sheetRow(r)
	if err != nil {
		return err
	}
	f := &form{values: url.Values{"hours": {typedHours(row.Hours)}, "id": {newID().String()}}}
	return o.renderCorrect(w, r, http.StatusOK, row, f)
}

func (o *Office) renderCorrect(w http.ResponseWriter, r *http.Request, status int, row restoration.SheetRow, f *form) error {
	loc, back := visitOf(r).Loc, r.URL.Query().Get("back")
	return web.Render(w, r, status, correctView(correctPage{
		Page: o.page(r, ui.PageProps{Title: "Correct the hours", Eyebrow: row.Person + " · " + ui.Day(row.WorkedAt, loc), Nav: navRecords,
			Lede: "What was entered stays in the ledger, with who corrected it, when and why."}),
		Form: f, Row: row, ID: f.get("id"), Action: correctPath(row, loc, back), Back: timesheetPath + "?" + back, Loc: loc,
		Hours:  f.field(ui.FieldProps{Name: "hours", Label: "Hours", Hint: "0 takes the entry away.", Mode: "decimal", Required: true, Width: "short"}),
		Reason: f.field(ui.FieldProps{Name: "reason", Label: "Why", Required: true, MaxLen: restoration.MaxReason}),
	}))
}

func (o *Office) correctTime(w http.ResponseWriter, r *http.Request) error {
	row, err := o.sheetRow(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	c := restoration.TimeCorrection{ID: f.id("id"), Ref: row.Event.ID, Was: read(f, "was", parseHours), Hours: read(f, "hours", parseHours),
		Reason: f.lineUpTo("reason", restoration.MaxReason)}
	if blank(f.get("hours")) {
		f.fault("hours", "Say what the hours should be, from 0 to 24.")
	}
	if c.Reason == "" {
		f.fault("reason", "Say why the hours are corrected.")
	}
	if f.ok() {
		if err := f.take(o.shop.CorrectTime(r.Context(), visitOf(r).Actor(), c)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderCorrect(w, r, http.StatusUnprocessableEntity, row, f)
	}
	o.done(r, "The hours are corrected.")
	return web.SeeOther(w, r, timesheetPath+"?"+r.URL.Query().Get("back"))
}
