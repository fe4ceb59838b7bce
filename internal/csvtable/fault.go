package csvtable

import (
	"fmt"
	"strconv"
)

// Fault is one thing wrong with a file. Line is the line of the file, counted from
// 1, on which the record begins, or 0 when the file as a whole is meant; Column is
// "" when the whole line is meant.
type Fault struct {
	Line   int
	Column string
	What   string // what is wrong; a clause without full stop
	Do     string // what to do; a sentence
}

// String writes the fault on one line.
func (f Fault) String() string {
	where := "file"
	if f.Line > 0 {
		where = fmt.Sprintf("line %d", f.Line)
	}
	if f.Column != "" {
		where += ", column " + f.Column
	}
	return where + ": " + f.What + ". " + f.Do
}

// Error is String, so that a fault that ends the reading can be an error.
func (f Fault) Error() string { return f.String() }

// Quote quotes a cell for a message and shortens it.
func Quote(cell string) string {
	if r := []rune(cell); len(r) > 40 {
		cell = string(r[:40]) + "…"
	}
	return strconv.Quote(cell)
}
