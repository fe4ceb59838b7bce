package office

import (
	"bytes"
	"net/http"
	"strconv"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"scumble/internal/restoration"
)

// Names of the sheets of the workbook.
const (
	sheetName  = "Time sheet"
	totalsName = "Totals"
)

// timesheetBook gives the chosen rows as a workbook (Office Open XML, ECMA-376): days are
// days, times are times and hours are numbers there, and words are never formulas. Its
// second sheet has their totals by car and stage.
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

func sheetBook(rows []restoration.SheetRow, loc *time.Location) (_ []byte, err error) {
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", sheetName); err != nil {
		return nil, err
	}
	if _, err := f.NewSheet(totalsName); err != nil {
		return nil, err
	}
	style, err := newBookStyles(f)
	if err != nil {
		return nil, err
	}
	if err := style.write(f, sheetName, style.rows(rows, loc)); err != nil {
		return nil, err
	}
	if err := style.write(f, totalsName, style.totals(rows)); err != nil {
		return nil, err
	}
	var to bytes.Buffer
	err = f.Write(&to)
	return to.Bytes(), err
}

// write fills a sheet: its first line, which stays in sight, and its last one are bold, and
// every column is as wide as what stands in it.
func (s bookStyles) write(f *excelize.File, name string, lines [][]any) error {
	out, err := f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for i, width := range columnWidths(lines) {
		if err := out.SetColWidth(i+1, i+1, width); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i, line := range lines {
		if i == 0 || i == len(lines)-1 {
			line = s.bold(line)
		}
		if err := out.SetRow("A"+strconv.Itoa(i+1), line); err != nil {
			return err
		}
	}
	return out.Flush()
}

// The least and the most that a column is wide, in figures of the sheet's typeface.
// What is longer is read in the line above the sheet.
const (
	narrowest = 8
	widest    = 48
)

// columnWidths gives each column of some lines the room for what stands in it, and a
// little for the edges of the cell.
func columnWidths(lines [][]any) []float64 {
	var widths []float64
	for _, line := range lines {
		for i, v := range line {
			if i == len(widths) {
				widths = append(widths, narrowest)
			}
			if c, styled := v.(excelize.Cell); styled {
				v = c.Value
			}
			room := float64(len("2026-03-27")) // a figure or a day
			if word, is := v.(string); is {
				room = float64(utf8.RuneCountInString(word))
			}
			if v != nil {
				widths[i] = min(max(widths[i], room+2), widest)
			}
		}
	}
	return widths
}

// bookStyles are how a workbook shows what it counts.
type bookStyles struct{ day, clock, hours, word, sum int }

func newBookStyles(f *excelize.File) (s bookStyles, err error) {
	for to, style := range map[*int]excelize.Style{
		&s.day: {CustomNumFmt: new("yyyy-mm-dd")}, &s.clock: {CustomNumFmt: new("hh:mm")}, &s.hours: {NumFmt: 2}, // 0.00
		&s.word: {Font: &excelize.Font{Bold: true}}, &s.sum: {Font: &excelize.Font{Bold: true}, NumFmt: 2},
	} {
		if *to, err = f.NewStyle(&style); err != nil {
			return s, err
		}
	}
	return s, nil
}

// bold makes the words and the sums of a line bold.
func (s bookStyles) bold(line []any) []any {
	out := make([]any, len(line))
	for i, v := range line {
		switch v := v.(type) {
		case string:
			out[i] = excelize.Cell{StyleID: s.word, Value: v}
		case excelize.Cell:
			out[i] = excelize.Cell{StyleID: s.sum, Value: v.Value}
		default:
			out[i] = v
		}
	}
	return out
}

func (s bookStyles) figure(m restoration.Minutes) any {
	return excelize.Cell{StyleID: s.hours, Value: m.Hours()}
}

func (s bookStyles) date(t time.Time) any {
	y, m, d := t.Date()
	return excelize.Cell{StyleID: s.day, Value: time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}
}

// time is the hour on the wall as a share of the day, as spreadsheets keep it; nothing for
// the zero time.
func (s bookStyles) time(t time.Time, loc *time.Location) any {
	if t.IsZero() {
		return nil
	}
	t = t.In(loc)
	return excelize.Cell{StyleID: s.clock, Value: float64(t.Hour()*60+t.Minute()) / (24 * 60)}
}

// rows are the lines of the first sheet: the table's, the last of them the total.
func (s bookStyles) rows(rows []restoration.SheetRow, loc *time.Location) [][]any {
	lines := [][]any{cellsOf(sheetHead...)}
	for _, row := range rows {
		line := append([]any{s.date(row.WorkedAt.In(loc))}, cellsOf(sheetWords(row)...)...)
		lines = append(lines, append(line, s.time(row.From, loc), s.time(row.To, loc), s.figure(row.Paused), s.figure(row.Hours), s.figure(row.Typed),
			string(row.Source), lastReason(row)))
	}
	return append(lines, []any{"Total", nil, nil, nil, nil, nil, nil, nil, nil, s.figure(restoration.SheetTotal(rows))})
}

// totals are the lines of the second sheet: a line for each car, a column for each stage,
// and the sums of both.
func (s bookStyles) totals(rows []restoration.SheetRow) [][]any {
	stages := restoration.SheetStages(rows)
	head := cellsOf("Car")
	for _, stage := range stages {
		head = append(head, stage.Word)
	}
	lines := [][]any{append(head, "Total")}
	for _, car := range restoration.SheetSums(rows, byCarOf) {
		lines = append(lines, s.totalLine(car.Word, restoration.SheetFilter{CarWO: car.Key}, rows, stages))
	}
	return append(lines, s.totalLine("Total", restoration.SheetFilter{}, rows, stages))
}

func (s bookStyles) totalLine(word string, of restoration.SheetFilter, rows []restoration.SheetRow, stages []restoration.SheetSum) []any {
	line := []any{word}
	for _, stage := range stages {
		of.Stage = stage.Key
		line = append(line, s.figure(restoration.SheetTotal(of.Choose(rows))))
	}
	of.Stage = ""
	return append(line, s.figure(restoration.SheetTotal(of.Choose(rows))))
}

func cellsOf(words ...string) []any {
	cells := make([]any, len(words))
	for i, word := range words {
		cells[i] = word
	}
	return cells
}
