package trimlist

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Writer writes RFC 4180: commas, CRLF, UTF-8 without [BOM]. A cell that a
// spreadsheet program would take for a formula gets an apostrophe in front, which
// makes it text there and which [ParsePieces] and [ParseCars] take away again;
// numbers stay numbers.
//
// An error of the writer below is kept and given by Flush.
type Writer struct{ w *bufio.Writer }

// NewWriter writes to w; call Flush at the end.
func NewWriter(w io.Writer) *Writer { return &Writer{bufio.NewWriter(w)} }

// Write adds one record.
func (w *Writer) Write(cells ...string) {
	if len(cells) == 1 && cells[0] == "" {
		w.w.WriteString(`""`) // a bare line end would be no record
	}
	for i, cell := range cells {
		if i > 0 {
			w.w.WriteByte(',')
		}
		w.w.WriteString(quote(guard(cell)))
	}
	w.w.WriteString("\r\n")
}

// Flush writes what is still buffered and tells whether anything went wrong.
func (w *Writer) Flush() error {
	if err := w.w.Flush(); err != nil {
		return fmt.Errorf("write CSV: %w", err)
	}
	return nil
}

// quote puts a cell in double quotes where it needs them. A semicolon needs them
// too, for readers that take it for the separator.
func quote(cell string) string {
	if cell != strings.TrimSpace(cell) || strings.ContainsAny(cell, ",;\"\r\n") {
		return `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
	}
	return cell
}

// formulaSigns open a formula in common spreadsheet programs; the wide forms do so
// under East Asian settings. Tabs, line ends and spaces in front of them are skipped
// there.
const formulaSigns = "=+-@\t\r\n＝＋－＠"

func guard(cell string) string {
	if looksLikeFormula(cell) && !isNumber(cell) {
		return "'" + cell
	}
	return cell
}

// unguard undoes guard.
func unguard(cell string) string {
	if strings.HasPrefix(cell, "'") && looksLikeFormula(cell) {
		return cell[1:]
	}
	return cell
}

// looksLikeFormula tells whether a formula sign opens the cell. Apostrophes in front
// don't count, so that a cell that has one of its own gets a second and keeps it.
func looksLikeFormula(cell string) bool {
	sign, _ := utf8.DecodeRuneInString(strings.TrimLeft(cell, "' "))
	return strings.ContainsRune(formulaSigns, sign)
}

func isNumber(cell string) bool {
	s := strings.TrimLeft(cell, "+-")
	whole, fraction, _ := strings.Cut(strings.Replace(s, ",", ".", 1), ".")
	return len(cell)-len(s) <= 1 && whole != "" && digits(whole) && digits(fraction)
}
