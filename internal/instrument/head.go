package instrument

import (
	"fmt"
	"slices"
	"strings"

	"scumble/internal/csvtable"
)

// The limits of one export.
const (
	MaxRows = 50_000
	// MaxFaults is how many faults are listed; one more says how many there are besides.
	MaxFaults = 200
	// PreviewRows is how many rows a Head shows.
	PreviewRows = 5
)

// Fault is one thing wrong with an export.
type Fault = csvtable.Fault

// Head is what an export looks like, so that a person can say what its columns hold.
type Head struct {
	Separator  byte     // between cells: comma, semicolon or tab
	Decimal    Decimal  // of most numbers; a point where no number tells
	HeaderLine int      // of the file; 0 where it has no header
	Columns    []string // names, never blank: "column 3" where the header has none
	Preview    [][]string
	Rows       int
	Mixed      []Fault // columns in which both decimal signs stand, at the rarer one
}

// Columns looks at an export. The error is a [Fault] that says why it is no table.
func Columns(data []byte) (Head, error) {
	t, fault := load(data)
	if fault != nil {
		return Head{}, *fault
	}
	h := Head{Separator: t.separator, HeaderLine: t.headerLine, Columns: t.columns, Rows: len(t.rows)}
	for _, rec := range t.rows[:min(PreviewRows, len(t.rows))] {
		h.Preview = append(h.Preview, rec.Cells)
	}
	all := make([]signs, len(t.columns))
	var sum signs
	for i := range all {
		all[i] = t.signs(i)
		sum.add(all[i])
	}
	h.Decimal = sum.decimal()
	for i, s := range all {
		if f, ok := s.mixed(t.columns[i], h.Decimal); ok {
			h.Mixed = append(h.Mixed, f)
		}
	}
	return h, nil
}

// table is an export split into its rows.
type table struct {
	separator  byte
	headerLine int
	columns    []string
	rows       []csvtable.Record // below the header and not blank
	beyond     int               // rows beyond MaxRows
}

// load splits an export. The fault says why it is no table; else it is nil.
func load(data []byte) (*table, *Fault) {
	if f, ok := csvtable.Unreadable(data); ok {
		return nil, &f
	}
	text := strings.TrimPrefix(utf8Of(data), csvtable.BOM)
	t := &table{separator: separatorOf(text)}
	scan := csvtable.NewScanner(text, t.separator)
	if fault := t.readHeader(scan, widthOf(sample(text, t.separator))); fault != nil {
		return nil, fault
	}
	for rec, ok := scan.Next(); ok; rec, ok = scan.Next() {
		t.add(rec)
	}
	if len(t.rows) == 0 {
		return nil, &Fault{What: "there is a header but no line below it", Do: "Export the readings again."}
	}
	return t, nil
}

// readHeader steps over what stands above the header: lines of another width, or not
// filled by more than half. A line with a number in the header's place is a row already.
func (t *table) readHeader(scan *csvtable.Scanner, width int) *Fault {
	for rec, ok := scan.Next(); ok; rec, ok = scan.Next() {
		if f := rec.Flaw; f != nil {
			return &Fault{Line: rec.Line, What: "in the header or above it, " + f.What, Do: f.Do}
		}
		if rec.Blank() || len(rec.Cells) != width || 2*filled(rec) <= width {
			continue
		}
		if slices.ContainsFunc(rec.Cells, isNumber) {
			t.columns = names(make([]string, width))
			t.add(rec)
			return nil
		}
		t.columns, t.headerLine = names(rec.Cells), rec.Line
		return nil
	}
	return &Fault{What: "no table is found in the file", Do: "Export the readings as CSV, with one line for each and the same columns on every line."}
}

// names gives each column the name in its header cell, or its number.
func names(header []string) []string {
	columns := make([]string, len(header))
	for i, cell := range header {
		columns[i] = strings.Join(strings.Fields(cell), " ")
		if columns[i] == "" {
			columns[i] = fmt.Sprintf("column %d", i+1)
		}
	}
	return columns
}

func (t *table) add(rec csvtable.Record) {
	switch {
	case rec.Blank():
	case len(t.rows) == MaxRows:
		t.beyond++
	default:
		t.rows = append(t.rows, rec)
	}
}

// signs counts the decimal signs of a column.
func (t *table) signs(column int) signs {
	var s signs
	for _, rec := range t.rows {
		if column < len(rec.Cells) {
			s.see(rec.Cells[column], rec.Line)
		}
	}
	return s
}

// filled counts the cells that hold something.
func filled(rec csvtable.Record) int {
	n := 0
	for _, cell := range rec.Cells {
		if strings.TrimSpace(cell) != "" {
			n++
		}
	}
	return n
}
