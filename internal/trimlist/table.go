package trimlist

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"scumble/internal/csvtable"
)

// The limits of one file.
const (
	MaxBytes   = csvtable.MaxBytes
	MaxRows    = 2_000
	MaxColumns = csvtable.MaxColumns
	// MaxFaults is how many faults are listed; the others are counted.
	MaxFaults = 200
)

// BOM is the UTF-8 byte order mark, which some spreadsheet programs need in front.
const BOM = csvtable.BOM

// Fault is one thing wrong with a file.
type Fault = csvtable.Fault

// Row is one record of the file as it was written. Of a record whose quotes don't
// pair up, Cells holds its first line as a single cell.
type Row struct {
	Line   int // on which the record begins
	Cells  []string
	Faults []Fault // all of them, also those beyond MaxFaults
}

// Table is a file as it was read, for a preview.
type Table struct {
	Header   []string // as written
	Columns  []string // the column that each header cell names; "" where it is ignored
	Ignored  []string // header cells that name no known column
	Rows     []Row
	Faults   []Fault // the first MaxFaults, in the order of the file
	Unlisted int     // faults beyond those
}

// OK tells whether the whole file may be taken over.
func (t *Table) OK() bool { return len(t.Faults) == 0 }

// Report writes a line for each fault listed, and one for those that are not.
func (t *Table) Report() []string {
	var lines []string
	for _, f := range t.Faults {
		lines = append(lines, f.String())
	}
	if t.Unlisted > 0 {
		lines = append(lines, fmt.Sprintf("file: %d more faults are not listed. Correct these first.", t.Unlisted))
	}
	return lines
}

// load reads the text of a file, bounded.
func load(r io.Reader) (text string, faults []Fault, err error) {
	raw, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return "", nil, err
	}
	text, faults = csvtable.Text(raw)
	return text, faults, nil
}

func (t *Table) add(f Fault) {
	if len(t.Faults) == MaxFaults {
		t.Unlisted++
		return
	}
	t.Faults = append(t.Faults, f)
}

// sheet says what a kind of table holds.
type sheet struct {
	many     string   // what its rows are, in the plural
	columns  []string // all that are known, in the order in which they are written
	required []string
}

// read reads a whole table and converts each row; values holds those of the rows
// without fault, and none where the header has one.
func read[T any](r io.Reader, s sheet, convert func(*line) T) (t Table, values []T, err error) {
	text, faults, err := load(r)
	if err != nil {
		return Table{}, nil, fmt.Errorf("read a list of %s: %w", s.many, err)
	}
	for _, f := range faults {
		t.add(f)
	}
	if text == "" && !t.OK() {
		return t, nil, nil
	}
	separator := csvtable.Separator(text)
	scan := csvtable.NewScanner(text, separator)
	if !t.readHeader(scan, s) {
		return t, nil, nil
	}
	headed := len(t.Faults) == len(faults)
	at := t.positions()
	for rec, ok := scan.Next(); ok; rec, ok = scan.Next() {
		if rec.Blank() {
			continue
		}
		if len(t.Rows) == MaxRows {
			t.add(Fault{Line: rec.Line, What: fmt.Sprintf("the file holds more than %d %s", MaxRows, s.many),
				Do: "Split it and read the parts one by one."})
			break
		}
		l := &line{at: at, row: Row{Line: rec.Line, Cells: rec.Cells}, decimalComma: separator == ';'}
		if l.check(rec, &t) {
			if v := convert(l); headed && len(l.row.Faults) == 0 {
				values = append(values, v)
			}
		}
		t.Rows = append(t.Rows, l.row)
		for _, f := range l.row.Faults {
			t.add(f)
		}
	}
	if len(t.Rows) == 0 {
		t.add(Fault{What: "there is a header but no line below it", Do: "Write one line for each of the " + s.many + "."})
	}
	return t, values, nil
}

// readHeader names the columns. False when the rows below can't be read.
func (t *Table) readHeader(scan *csvtable.Scanner, s sheet) bool {
	rec, ok := scan.Next()
	for ok && rec.Blank() {
		rec, ok = scan.Next()
	}
	if !ok {
		t.add(Fault{What: "the file is empty", Do: fmt.Sprintf("Write a header line (%s) and one line for each of the %s.",
			strings.Join(s.columns, ", "), s.many)})
		return false
	}
	t.Header = rec.Cells
	if rec.Flaw != nil {
		t.add(Fault{Line: rec.Line, What: "in the header, " + rec.Flaw.What, Do: rec.Flaw.Do})
		return false
	}
	if len(rec.Cells) == 1 && strings.Contains(rec.Cells[0], "\t") {
		t.add(Fault{Line: rec.Line, What: "the cells are separated by tabs", Do: "Save the list with commas or semicolons between the cells."})
		return false
	}
	t.nameColumns(rec, s)
	for _, col := range s.required {
		if !slices.Contains(t.Columns, col) {
			t.add(Fault{Line: rec.Line, Column: col, What: "the header does not name this column, which is needed", Do: "Add it to the header and fill it in."})
		}
	}
	return true
}

func (t *Table) nameColumns(rec csvtable.Record, s sheet) {
	t.Columns = make([]string, len(rec.Cells))
	for i, cell := range rec.Cells {
		col := columnName(cell)
		switch {
		case col == "":
			t.Ignored = append(t.Ignored, fmt.Sprintf("column %d, which has no name", i+1))
		case !slices.Contains(s.columns, col):
			t.Ignored = append(t.Ignored, csvtable.Quote(strings.TrimSpace(cell)))
		case slices.Contains(t.Columns, col):
			t.add(Fault{Line: rec.Line, Column: col, What: "the header names this column twice", Do: "Keep one and delete or rename the other."})
		default:
			t.Columns[i] = col
		}
	}
}

// positions gives the index of each known column.
func (t *Table) positions() map[string]int {
	at := make(map[string]int)
	for i, col := range t.Columns {
		if col != "" {
			at[col] = i
		}
	}
	return at
}

// columnName is a header cell without what people vary: case, spaces for
// underscores, a raised 2.
func columnName(cell string) string {
	words := strings.FieldsFunc(strings.ToLower(cell), func(r rune) bool { return r == ' ' || r == '_' || r == '\u00a0' })
	return strings.ReplaceAll(strings.Join(words, "_"), "²", "2")
}
