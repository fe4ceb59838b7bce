package trimlist

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"scumble/internal/csvtable"
	"scumble/internal/restoration"
)

// The longest texts, in signs.
const (
	maxShort = restoration.MaxName
	maxNote  = 2000
)

// line is a row that is being converted: it finds cells by their column and
// gathers the faults.
type line struct {
	at           map[string]int
	row          Row
	decimalComma bool // the separator leaves the comma free for decimals
}

// check looks at the record as a whole. False when its cells can't be told apart.
func (l *line) check(rec csvtable.Record, t *Table) bool {
	if f := rec.Flaw; f != nil {
		col := ""
		if f.Cell < len(t.Columns) {
			col = t.Columns[f.Cell]
		}
		l.fault(col, f.What, f.Do)
		return false
	}
	if len(rec.Cells) != len(t.Header) {
		l.fault("", fmt.Sprintf("the header has %d cells and this line %d", len(t.Header), len(rec.Cells)),
			"Add or delete separators; a cell that holds a separator must stand in double quotes.")
		return false
	}
	return true
}

func (l *line) fault(column, what, do string) {
	l.row.Faults = append(l.row.Faults, Fault{Line: l.row.Line, Column: column, What: what, Do: do})
}

func (l *line) has(column string) bool {
	_, ok := l.at[column]
	return ok
}

// cell gives the text of a column without surrounding blanks; "" where the file
// has no such column.
func (l *line) cell(column string) string {
	i, ok := l.at[column]
	if !ok {
		return ""
	}
	return strings.TrimSpace(unguard(strings.TrimSpace(l.row.Cells[i])))
}

// short reads a text of one line; runs of blanks become one.
func (l *line) short(column string, most int) string {
	s := l.cell(column)
	if strings.ContainsFunc(s, unicode.IsControl) {
		l.fault(column, csvtable.Quote(s)+" holds a line break or another control sign", "Write it on one line.")
	}
	l.checkLength(column, s, most)
	return strings.Join(strings.Fields(s), " ")
}

// name reads a short text that must not be empty.
func (l *line) name(column string) string {
	if l.has(column) && l.cell(column) == "" {
		l.fault(column, "the cell is empty", fmt.Sprintf("Write a name of up to %d characters.", maxShort))
	}
	return l.short(column, maxShort)
}

// long reads a text that may have several lines.
func (l *line) long(column string) string {
	s := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(l.cell(column))
	if strings.ContainsFunc(s, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }) {
		l.fault(column, csvtable.Quote(s)+" holds a control sign", "Delete it; only line breaks and tabs may stand in a note.")
	}
	l.checkLength(column, s, maxNote)
	return s
}

func (l *line) checkLength(column, s string, most int) {
	if n := utf8.RuneCountInString(s); n > most {
		l.fault(column, fmt.Sprintf("the text has %d characters", n), fmt.Sprintf("Shorten it to %d.", most))
	}
}

// choice reads one of a few words in either case. The word "" is the blank cell;
// without it the cell must be filled.
func choice[T any](l *line, column string, words map[string]T, do string) T {
	cell := l.cell(column)
	v, ok := words[strings.ToLower(cell)]
	if !ok && l.has(column) {
		l.refuse(column, cell, column, do)
	}
	return v
}

// refuse says that a cell is none of its kind.
func (l *line) refuse(column, cell, noun, do string) {
	if cell == "" {
		l.fault(column, "the cell is empty", do)
		return
	}
	l.fault(column, csvtable.Quote(cell)+" is no "+noun, do)
}

// decimal reads a plain number without sign from low to high; 0 when the cell is
// blank. places is the most decimals that it may have.
func (l *line) decimal(column, noun string, low, high float64, places int, do string) float64 {
	cell := l.cell(column)
	if cell == "" {
		return 0
	}
	s := cell
	if l.decimalComma {
		s = strings.Replace(s, ",", ".", 1)
	}
	whole, fraction, _ := strings.Cut(s, ".")
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !digits(whole) || !digits(fraction) || len(fraction) > places {
		l.fault(column, csvtable.Quote(cell)+" is no "+noun, do)
		return 0
	}
	if v < low || v > high {
		l.fault(column, fmt.Sprintf("%s is out of range, %g to %g", csvtable.Quote(cell), low, high), do)
		return 0
	}
	return v
}

func digits(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return r < '0' || r > '9' })
}

// date reads a calendar date of ISO 8601 in the extended form; zero when blank.
func (l *line) date(column string) time.Time {
	cell := l.cell(column)
	if cell == "" {
		return time.Time{}
	}
	d, err := time.Parse(time.DateOnly, cell)
	if err != nil {
		l.fault(column, csvtable.Quote(cell)+" is no date", "Write year-month-day, such as 2026-03-27.")
		return time.Time{}
	}
	if d.Year() < 1900 || d.Year() > 2199 {
		l.fault(column, csvtable.Quote(cell)+" is not of this age", "Check the year.")
		return time.Time{}
	}
	return d
}

// oneOf reads a word that must be among the known ones, in either case, and gives
// it as it is known; "" when blank.
func (l *line) oneOf(column, noun string, known []string) string {
	cell := strings.Join(strings.Fields(l.cell(column)), " ")
	if cell == "" {
		return ""
	}
	i := slices.IndexFunc(known, func(k string) bool { return strings.EqualFold(k, cell) })
	if i >= 0 {
		return known[i]
	}
	do := "Leave it blank; there is none to choose from."
	if len(known) > 0 {
		do = "Leave it blank or write one of: " + strings.Join(known, ", ") + "."
	}
	l.fault(column, fmt.Sprintf("%s is no %s here", csvtable.Quote(cell), noun), do)
	return ""
}
