package instrument

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"scumble/internal/colour"
	"scumble/internal/csvtable"
)

// Row is one line of the export without fault.
type Row struct {
	Line        int // of the file
	Piece, Spot string
	Values      Values
}

// Values is what was read at one spot; nil for what was not.
type Values struct {
	FilmUM *float64
	Lab    *colour.Lab
	Gloss  *colour.Gloss
}

// maxText is the longest name of a piece or a spot, in signs.
const maxText = 100

// Read reads an export. Rows are those without fault, in the order of the file; faults
// are all others' and the file's, in that order too, none where all is well. A choice
// that can't be right for this table gives its own faults and no rows.
//
// A blank cell is a reading that was not taken; a line without any reading is a fault.
func Read(data []byte, c Choice) ([]Row, []Fault) {
	t, fault := load(data)
	if fault != nil {
		return nil, []Fault{*fault}
	}
	if faults := c.check(t); len(faults) > 0 {
		return nil, faults
	}
	if faults := c.checkNumbers(t); len(faults) > 0 {
		return nil, faults
	}
	r := &reader{table: t, choice: c, decimal: c.decimal(t)}
	var rows []Row
	for _, rec := range t.rows {
		before := r.count
		row := r.row(rec)
		if r.count == before {
			rows = append(rows, row)
		}
	}
	return rows, r.report()
}

// reader converts rows and gathers the faults.
type reader struct {
	table   *table
	choice  Choice
	decimal Decimal
	rec     csvtable.Record // at which it is
	faults  []Fault         // the first MaxFaults
	count   int             // of all
}

// fault notes what is wrong with a column of the row; column 0 means the whole line.
func (r *reader) fault(column int, what, do string) {
	f := Fault{Line: r.rec.Line, What: what, Do: do}
	if column > 0 && column <= len(r.table.columns) {
		f.Column = r.table.columns[column-1]
	}
	r.note(f)
}

func (r *reader) note(f Fault) {
	r.count++
	if len(r.faults) < MaxFaults {
		r.faults = append(r.faults, f)
	}
}

func (r *reader) report() []Fault {
	faults := r.faults
	if n := r.table.beyond; n > 0 {
		faults = append(faults, Fault{What: fmt.Sprintf("the file holds %d lines more than %d", n, MaxRows), Do: "Split it and read the parts one by one."})
	}
	if n := r.count - len(r.faults); n > 0 {
		faults = append(faults, Fault{What: fmt.Sprintf("%d more faults are not listed", n), Do: "Correct these first."})
	}
	return faults
}

func (r *reader) row(rec csvtable.Record) Row {
	r.rec = rec
	if f := rec.Flaw; f != nil {
		r.fault(f.Cell+1, f.What, f.Do)
		return Row{}
	}
	if !r.fits() {
		return Row{}
	}
	row := Row{Line: rec.Line, Piece: r.text(r.choice.Piece), Spot: r.text(r.choice.Spot)}
	if r.choice.Piece != 0 && row.Piece == "" {
		r.fault(r.choice.Piece, "the cell is empty", "Write the piece that was measured.")
	}
	before := r.count
	row.Values = Values{FilmUM: r.film(), Lab: r.lab(), Gloss: r.gloss()}
	if row.Values == (Values{}) && r.count == before {
		r.fault(0, "there is no reading on this line", "Delete the line, or choose another column.")
	}
	return row
}

// fits tells whether the line has the cells of the header. Blank ones at the end may
// be more.
func (r *reader) fits() bool {
	width, n := len(r.table.columns), len(r.rec.Cells)
	for n > width && strings.TrimSpace(r.rec.Cells[n-1]) == "" {
		n--
	}
	if n != width {
		r.fault(0, fmt.Sprintf("the table has %d columns and this line %d", width, n),
			"Delete the line if it holds no reading; a cell that holds a separator must stand in double quotes.")
		return false
	}
	return true
}

// cell is the text of a column without blanks around it; "" where none is chosen.
func (r *reader) cell(column int) string {
	if column == 0 {
		return ""
	}
	return strings.TrimSpace(r.rec.Cells[column-1])
}

// text reads a name; runs of blanks become one.
func (r *reader) text(column int) string {
	cell := r.cell(column)
	if strings.ContainsFunc(cell, unicode.IsControl) {
		r.fault(column, csvtable.Quote(cell)+" holds a line break or another control sign", "Write it on one line.")
	}
	if n := utf8.RuneCountInString(cell); n > maxText {
		r.fault(column, fmt.Sprintf("the text has %d characters", n), fmt.Sprintf("Shorten it to %d.", maxText))
	}
	return strings.Join(strings.Fields(cell), " ")
}
