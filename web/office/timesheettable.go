package office

import (
	"bytes"
	"net/http"
	"strconv"
	"time"

	"github.com/xuri/excelize/v2"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// sheetHead names the columns of the time sheet's tables.
var sheetHead = []string{"day", "person", "work_order", "car", "piece", "stage", "from", "to", "paused_h", "hours", "entered_h", "source", "reason"}

// sheetCells are the words of a row before its figures, and after them.
func sheetCells(row restoration.SheetRow, loc *time.Location) (before []string, from, to, reason string) {
	if !row.From.IsZero() {
		from, to = row.From.In(loc).Format("15:04"), row.To.In(loc).Format("15:04")
	}
	if n := len(row.Corrections); n > 0 {
		reason = row.Corrections[n-1].Reason
	}
	return []string{row.Person, row.CarWO, row.Car, row.Piece, row.Stage}, from, to, reason
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
		words, from, to, reason := sheetCells(row, loc)
		line := append([]string{row.WorkedAt.In(loc).Format(time.DateOnly)}, words...)
		out.Write(append(line, from, to, number(row.Paused), number(row.Hours), number(row.Typed), string(row.Source), reason)...)
	}
	out.Write("", "total", "", "", "", "", "", "", "", number(restoration.SheetTotal(rows)), "", "", "")
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "time-sheet", table.Bytes())
}

// timesheetBook gives the chosen rows as a workbook (Office Open XML, ECMA-376): days are
// days and hours numbers there, and words are never formulas.
func (o *Office) timesheetBook(w http.ResponseWriter, r *http.Request) error {
	rows, _, _, err := o.chosenSheet(r)
	if err != nil {
		return err
	}
	book, err := sheetBook(rows, visitOf(r).Loc)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
	w.Header().Set("Content-Disposition", `attachment; filename="time-sheet.xlsx"`)
	_, err = w.Write(book)
	return err
}

const sheetName = "Time sheet"

func sheetBook(rows []restoration.SheetRow, loc *time.Location) (_ []byte, err error) {
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", sheetName); err != nil {
		return nil, err
	}
	out, err := f.NewStreamWriter(sheetName)
	if err != nil {
		return nil, err
	}
	day, err := f.NewStyle(&excelize.Style{CustomNumFmt: new("yyyy-mm-dd")})
	if err != nil {
		return nil, err
	}
	hours, err := f.NewStyle(&excelize.Style{NumFmt: 2}) // 0.00
	if err != nil {
		return nil, err
	}
	head := make([]any, len(sheetHead))
	for i, word := range sheetHead {
		head[i] = word
	}
	lines := [][]any{head}
	figure := func(m restoration.Minutes) any { return excelize.Cell{StyleID: hours, Value: m.Hours()} }
	for _, row := range rows {
		words, from, to, reason := sheetCells(row, loc)
		y, m, d := row.WorkedAt.In(loc).Date()
		line := []any{excelize.Cell{StyleID: day, Value: time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}}
		for _, word := range words {
			line = append(line, word)
		}
		lines = append(lines, append(line, from, to, figure(row.Paused), figure(row.Hours), figure(row.Typed), string(row.Source), reason))
	}
	lines = append(lines, []any{nil, "total", nil, nil, nil, nil, nil, nil, nil, figure(restoration.SheetTotal(rows))})
	for i, line := range lines {
		if err := out.SetRow("A"+strconv.Itoa(i+1), line); err != nil {
			return nil, err
		}
	}
	if err := out.Flush(); err != nil {
		return nil, err
	}
	var to bytes.Buffer
	err = f.Write(&to)
	return to.Bytes(), err
}
