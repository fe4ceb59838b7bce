package office

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// loggedHours is a shop in which Ida logged 2 h on a piece at noon of a Friday.
func loggedHours(t *testing.T) (floor, restoration.Piece) {
	t.Helper()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "=1+1"}, 1)
	f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindLogTime, CarID: pieces[0].CarID, PieceID: pieces[0].ID,
		StepID: pieces[0].Sum.NextStep, PersonID: f.ida.ID, Payload: restoration.Payload{Hours: new(restoration.Minutes(120))}})
	return f, pieces[0]
}

func TestTimesheetAndItsTables(t *testing.T) {
	t.Parallel()
	f, p := loggedHours(t)
	page := f.page(timesheetPath + "?from=2026-03-27")
	for _, want := range []string{"2 h together", p.Name, "Ida Marl", "entered 12:00", "typed", "from Mon 23 Mar 2026"} {
		require.Contains(t, page.text(), want)
	}
	require.Contains(t, f.page(timesheetPath+"?person="+formatID(f.tom.ID)).text(), "No hours were logged here.")
	require.Contains(t, f.page(timesheetPath+"?stage=Grained").text(), "No hours were logged here.")
	require.Contains(t, f.page(timesheetPath+"?from=soon").text(), "Write the day as")

	lines := strings.Split(strings.TrimPrefix(f.get(timesheetPath+".csv?from=2026-03-27").body, trimlist.BOM), "\r\n")
	require.Contains(t, lines[1], "2026-03-27,Ida Marl,26-001,'=1+1,", "what looks like a formula is guarded")
	require.Contains(t, lines[1], ",0.00,2.00,2.00,typed,")
	require.Equal(t, "Total,,,,,,,,,2.00,,,", lines[2])

	book, err := excelize.OpenReader(bytes.NewReader([]byte(f.get(timesheetPath + ".xlsx?from=2026-03-27").body)))
	require.NoError(t, err)
	defer book.Close()
	cell := func(name string) (excelize.CellType, string) {
		kind, err := book.GetCellType(sheetName, name)
		require.NoError(t, err)
		text, err := book.GetCellValue(sheetName, name)
		require.NoError(t, err)
		return kind, text
	}
	kind, text := cell("J2")
	require.Equal(t, "2.00", text)
	require.NotEqual(t, excelize.CellTypeInlineString, kind, "hours are numbers")
	_, text = cell("A2")
	require.Equal(t, "2026-03-27", text)
	raw, err := book.GetCellValue(sheetName, "A2", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	require.Equal(t, "46108", raw, "days are days: 27 March 2026 by the count of spreadsheets")
	formula, err := book.GetCellFormula(sheetName, "D2")
	require.NoError(t, err)
	require.Empty(t, formula)
	_, text = cell("D2")
	require.Equal(t, "=1+1", text, "a word, whatever it looks like")
	_, text = cell("J3")
	require.Equal(t, "2.00", text, "the total")
}

// The workbook, opened again, has the table's words and numbers, row by row.
func TestTheWorkbookAgreesWithTheTable(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "1938 Wexcombe Twelve"}, 3)
	sum := 0
	for i, minutes := range []restoration.Minutes{37, 125, 5} {
		sum += int(minutes)
		f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindLogTime, CarID: pieces[i].CarID, PieceID: pieces[i].ID,
			StepID: pieces[i].Sum.NextStep, PersonID: []int64{f.ida.ID, f.tom.ID, f.ida.ID}[i], Payload: restoration.Payload{Hours: &minutes}})
	}
	table, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(f.get(timesheetPath+".csv?from=2026-03-27").body, trimlist.BOM))).ReadAll()
	require.NoError(t, err)
	book, err := excelize.OpenReader(strings.NewReader(f.get(timesheetPath + ".xlsx?from=2026-03-27").body))
	require.NoError(t, err)
	defer book.Close()
	rows, err := book.GetRows(sheetName)
	require.NoError(t, err)
	require.Len(t, table, 1+3+1)
	require.Len(t, rows, len(table))
	for i, line := range table {
		for j, text := range line {
			got := ""
			if j < len(rows[i]) { // empty cells at the end of a row are not kept
				got = rows[i][j]
			}
			require.Equal(t, text, got, "row %d, %s", i, sheetHead[j])
		}
	}
	raw, err := book.GetCellValue(sheetName, "J5", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	total, err := strconv.ParseFloat(raw, 64)
	require.NoError(t, err)
	require.InDelta(t, float64(sum)/60, total, 1e-9, "whole numbers, not what is shown of them")

	totals, err := book.GetRows(totalsName)
	require.NoError(t, err)
	require.Equal(t, [][]string{{"Car", "Stripped", "Total"}, {"26-001 1938 Wexcombe Twelve", "2.78", "2.78"}, {"Total", "2.78", "2.78"}}, totals)
}

// In the workbook a time is a time, to be reckoned with, and stages stand in the order of
// work.
func TestTheWorkbookHasTimesAndTotals(t *testing.T) {
	t.Parallel()
	row := func(car, stage string, place int, m restoration.Minutes) restoration.SheetRow {
		return restoration.SheetRow{Entry: restoration.Entry{CarWO: car, Car: "Ten", Stage: stage, Position: place}, WorkedAt: noon, From: noon, To: noon.Add(90 * time.Minute), Hours: m, Typed: m}
	}
	file, err := sheetBook([]restoration.SheetRow{row("26-002", "Cleared", 6, 30), row("26-001", "Stripped", 1, 60), row("26-002", "Stripped", 1, 45)}, time.UTC)
	require.NoError(t, err)
	book, err := excelize.OpenReader(bytes.NewReader(file))
	require.NoError(t, err)
	defer book.Close()
	for cell, want := range map[string][2]string{"G2": {"12:00", "0.5"}, "H2": {"13:30", "0.5625"}} {
		shown, err := book.GetCellValue(sheetName, cell)
		require.NoError(t, err)
		raw, err := book.GetCellValue(sheetName, cell, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		require.Equal(t, want, [2]string{shown, raw}, cell)
	}
	totals, err := book.GetRows(totalsName)
	require.NoError(t, err)
	require.Equal(t, [][]string{{"Car", "Stripped", "Cleared", "Total"}, {"26-001 Ten", "1.00", "0.00", "1.00"},
		{"26-002 Ten", "0.75", "0.50", "1.25"}, {"Total", "1.75", "0.50", "2.25"}}, totals)
}

// Whatever a name looks like, a cell of the workbook is a word: no formula, no number and
// no date, in its first sheet and in the head of its second.
func TestTheWorkbookHasWordsForNames(t *testing.T) {
	t.Parallel()
	for _, word := range []string{"=1+1", "+1", "-1+2", "@A1", "\t=1", `=HYPERLINK("x";"y")`, "Ten, \"late\"; blue\ntwo lines", "007", "1e5", "1/2", "TRUE", "12,5"} {
		row := restoration.SheetRow{Entry: restoration.Entry{CarWO: "26-002", Car: word, Piece: word, Stage: word}, WorkedAt: noon, Hours: 45}
		file, err := sheetBook([]restoration.SheetRow{row}, time.UTC)
		require.NoError(t, err, word)
		book, err := excelize.OpenReader(bytes.NewReader(file))
		require.NoError(t, err, word)
		for cell, sheet := range map[string]string{"D2": sheetName, "E2": sheetName, "F2": sheetName, "B1": totalsName} {
			kind, err := book.GetCellType(sheet, cell)
			require.NoError(t, err)
			require.Equal(t, excelize.CellTypeInlineString, kind, "%q in %s", word, cell)
			formula, err := book.GetCellFormula(sheet, cell)
			require.NoError(t, err)
			require.Empty(t, formula, "%q in %s", word, cell)
			have, err := book.GetCellValue(sheet, cell)
			require.NoError(t, err)
			require.Equal(t, word, have, cell)
		}
		require.NoError(t, book.Close())
	}
}

// Nothing of a name is hidden behind the next column, the head stays in sight, and the
// totals stand out.
func TestTheWorkbookIsReadAsItIsOpened(t *testing.T) {
	t.Parallel()
	long := "Windscreen garnish moulding, upper"
	row := restoration.SheetRow{Entry: restoration.Entry{CarWO: "26-002", Car: "Ten", Piece: long, Stage: "Cleared"}, WorkedAt: noon, Hours: 30}
	file, err := sheetBook([]restoration.SheetRow{row}, time.UTC)
	require.NoError(t, err)
	book, err := excelize.OpenReader(bytes.NewReader(file))
	require.NoError(t, err)
	defer book.Close()
	width := func(sheet, column string) float64 {
		w, err := book.GetColWidth(sheet, column)
		require.NoError(t, err)
		return w
	}
	require.GreaterOrEqual(t, width(sheetName, "E"), float64(len(long)), "the piece")
	require.GreaterOrEqual(t, width(sheetName, "A"), float64(len("2026-03-27")), "a day that doesn't fit is shown as ###")
	require.GreaterOrEqual(t, width(totalsName, "A"), float64(len("26-002 Ten")))
	require.LessOrEqual(t, columnWidths([][]any{{strings.Repeat("x", 400)}})[0], float64(widest))
	for _, sheet := range []string{sheetName, totalsName} {
		panes, err := book.GetPanes(sheet)
		require.NoError(t, err)
		require.True(t, panes.Freeze, sheet)
		for _, cell := range []string{"A1", "A3"} {
			id, err := book.GetCellStyle(sheet, cell)
			require.NoError(t, err)
			style, err := book.GetStyle(id)
			require.NoError(t, err)
			require.True(t, style.Font != nil && style.Font.Bold, "%s %s", sheet, cell)
		}
	}
	word, err := book.GetCellValue(sheetName, "A3")
	require.NoError(t, err)
	require.Equal(t, "Total", word)
}

func TestHoursAreCorrectedWithAReason(t *testing.T) {
	t.Parallel()
	f, p := loggedHours(t)
	link := f.page(timesheetPath+"?from=2026-03-27").one("a", "aria-label", "Correct the hours of "+p.Title()+", Stripped")
	path := attribute(link, "href")
	require.Contains(t, f.page(path).text(), "Counts for")
	form := url.Values{"id": {newID().String()}, "was": {"2 h"}, "hours": {"1.5"}, "reason": {"half an hour was lunch"}}
	for field, v := range map[string]string{"hours": "many", "reason": " "} {
		bad := url.Values{"id": {newID().String()}, "was": {"2 h"}, "hours": {"1.5"}, "reason": {"lunch"}}
		bad.Set(field, v)
		a := f.post(path, bad)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, field)
		require.NotEmpty(t, parsePage(t, a.body).all("p", "id", field+"-error"), field)
	}
	require.Equal(t, http.StatusSeeOther, f.post(path, form).code)
	require.Equal(t, http.StatusSeeOther, f.post(path, form).code, "sent twice")
	piece, err := f.bench.store.FindPiece(t.Context(), p.ID)
	require.NoError(t, err)
	require.Equal(t, restoration.Minutes(90), piece.Steps[0].Logged)
	page := f.page(timesheetPath + "?from=2026-03-27").text()
	for _, want := range []string{"1.5 h together", "corrected", "half an hour was lunch"} {
		require.Contains(t, page, want)
	}
	require.Contains(t, f.page(piecePath(p.ID)+"/history").text(), "Corrected the hours of stripped from 2 h to 1.5 h")
	form.Set("id", newID().String())
	a := f.post(path, form)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.text(), "counts for 1.5 h by now", "somebody else was first")
	require.Equal(t, http.StatusNotFound, f.get(timesheetPath+"/"+newID().String()+"?day=2026-03-27").code)
}

func TestClockWords(t *testing.T) {
	t.Parallel()
	row := restoration.SheetRow{From: noon, To: noon.Add(time.Hour), Paused: 10}
	require.Equal(t, "12:00–13:00, paused 10 min", clockWords(row, time.UTC))
	row = restoration.SheetRow{From: noon, To: noon.Add(24 * time.Hour)}
	require.Equal(t, "Fri 12:00–Sat 12:00", clockWords(row, time.UTC))
}
