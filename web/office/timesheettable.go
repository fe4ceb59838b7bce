package office

import (
	"bytes"
	"net/http"
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// sheetHead names the columns of the time sheet's tables.
var sheetHead = []string{"day", "person", "work_order", "car", "piece", "stage", "from", "to", "paused_h", "hours", "entered_h", "source", "reason"}

// sheetWords are the words of a row before its figures.
func sheetWords(row restoration.SheetRow) []string {
	return []string{row.Person, row.CarWO, row.Car, row.Piece, row.Stage}
}

// lastReason is why the hours of a row were corrected last; "" they weren't.
func lastReason(row restoration.SheetRow) string {
	if n := len(row.Corrections); n > 0 {
		return row.Corrections[n-1].Reason
	}
	return ""
}

// wallTime is an hour as the table writes it; "" for the zero time.
func wallTime(t time.Time, loc *time.Location) string {
	if t.IsZero() {
		return ""
	}
	return t.In(loc).Format("15:04")
}

// timesheetTable gives the chosen rows as a table, with their total in the last line.
func (o *Office) timesheetTable(w http.ResponseWriter, r *http.Request) error {
	rows, _, _, err := o.chosenSheet(r)
	if err != nil {
		return err
	}
	loc := visitOf(r).Loc
	number := func(m restoration.Minutes) string { return strconv.FormatFloat(m.Hours(), 'f', 2, 64) }
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write(sheetHead...)
	for _, row := range rows {
		line := append([]string{row.WorkedAt.In(loc).Format(time.DateOnly)}, sheetWords(row)...)
		out.Write(append(line, wallTime(row.From, loc), wallTime(row.To, loc), number(row.Paused), number(row.Hours), number(row.Typed),
			string(row.Source), lastReason(row))...)
	}
	out.Write("Total", "", "", "", "", "", "", "", "", number(restoration.SheetTotal(rows)), "", "", "")
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "time-sheet", table.Bytes())
}
