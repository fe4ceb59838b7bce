package csvtable

import (
	"fmt"
	"strings"
)

// MaxColumns is the most cells of one record.
const MaxColumns = 100

// Record is one line of the table, which may span several lines of the file. Of a
// record with a flaw, Cells holds its first line as a single cell.
type Record struct {
	Line  int // of the file, counted from 1, on which it begins
	Cells []string
	Flaw  *Flaw // nil for a sound record
}

// Flaw is why a record can't be split into cells.
type Flaw struct {
	Cell int    // index of the cell in which it shows
	What string // what is wrong; a clause without full stop
	Do   string // what to do; a sentence
}

// Blank tells whether there is nothing in the record.
func (r Record) Blank() bool {
	if r.Flaw != nil {
		return false
	}
	for _, c := range r.Cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// Scanner splits a text into records after RFC 4180. encoding/csv is not used
// because it gives up at the first stray quote and turns CRLF inside a cell into LF.
// Scanning goes on at the line after that on which a record with a flaw begins: a
// forgotten quote hides no other line.
type Scanner struct {
	text string
	pos  int
	line int // of pos
	sep  byte
}

// NewScanner scans a text whose cells stand between separators: a comma, a semicolon
// or a tab.
func NewScanner(text string, separator byte) *Scanner {
	return &Scanner{text: text, line: 1, sep: separator}
}

// Separator is the one of comma and semicolon that occurs more often outside quotes
// on the first line with text on it.
func Separator(text string) byte {
	s := &Scanner{text: text}
	s.skipBlank()
	header := lineAt(s.text[s.pos:])
	commas, semicolons, quoted := 0, 0, false
	for i := range len(header) {
		switch c := header[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == ',':
			commas++
		case c == ';':
			semicolons++
		}
	}
	if semicolons > commas {
		return ';'
	}
	return ','
}

// Next gives the next record that is not an empty line; false at the end.
func (s *Scanner) Next() (Record, bool) {
	s.skipBlank()
	if s.pos == len(s.text) {
		return Record{}, false
	}
	rec := Record{Line: s.line}
	start := s.pos
	for {
		cell, f := s.cell()
		if f == nil && len(rec.Cells) == MaxColumns {
			f = &Flaw{What: fmt.Sprintf("the line has more than %d cells", MaxColumns), Do: "Delete the columns that do not belong to the list."}
		}
		if f != nil {
			f.Cell = len(rec.Cells)
			rec.Flaw = f
			break
		}
		rec.Cells = append(rec.Cells, cell)
		if s.pos == len(s.text) || s.endLine() {
			return rec, true
		}
		s.pos++ // the separator
	}
	s.pos, s.line = start, rec.Line
	first := lineAt(s.text[start:])
	rec.Cells = []string{first}
	s.pos += len(first)
	s.endLine()
	return rec, true
}

// cell reads one cell and stops before the separator, the line end or the end.
func (s *Scanner) cell() (string, *Flaw) {
	rest := s.text[s.pos:]
	if strings.HasPrefix(rest, `"`) {
		return s.quoted()
	}
	n := strings.IndexAny(rest, string(rune(s.sep))+"\r\n\"")
	if n < 0 {
		n = len(rest)
	} else if rest[n] == '"' {
		return "", &Flaw{What: "a double quote stands inside a cell that does not begin with one",
			Do: "Put the whole cell in double quotes and write each double quote inside it twice."}
	}
	s.pos += n
	return rest[:n], nil
}

// quoted reads a cell in double quotes.
func (s *Scanner) quoted() (string, *Flaw) {
	from := s.pos + 1
	for at := from; ; {
		n := strings.IndexByte(s.text[at:], '"')
		if n < 0 {
			return "", &Flaw{What: "a cell opens with a double quote that is never closed",
				Do: "Put a double quote at the end of the cell."}
		}
		at += n + 1
		if !strings.HasPrefix(s.text[at:], `"`) {
			return s.closed(from, at)
		}
		at++
	}
}

// closed ends a quoted cell whose text begins at from and whose closing quote
// stands before to.
func (s *Scanner) closed(from, to int) (string, *Flaw) {
	inside := s.text[from : to-1]
	if to < len(s.text) && !strings.ContainsRune("\r\n", rune(s.text[to])) && s.text[to] != s.sep {
		return "", &Flaw{What: closedEarly(s.line, countLines(inside)),
			Do: "Close the cell with a double quote just before the separator, and write each double quote inside it twice."}
	}
	s.pos = to
	s.line += countLines(inside)
	return strings.ReplaceAll(inside, `""`, `"`), nil
}

func closedEarly(line, further int) string {
	if further == 0 {
		return "text follows the double quote that closes a cell"
	}
	return fmt.Sprintf("a cell opens with a double quote and runs on to line %d, where text follows the next double quote", line+further)
}

// endLine steps over CRLF, LF or CR; false when there is none here.
func (s *Scanner) endLine() bool {
	rest := s.text[s.pos:]
	switch {
	case strings.HasPrefix(rest, "\r\n"):
		s.pos += 2
	case strings.HasPrefix(rest, "\n"), strings.HasPrefix(rest, "\r"):
		s.pos++
	default:
		return false
	}
	s.line++
	return true
}

func (s *Scanner) skipBlank() {
	for s.endLine() {
	}
}

// lineAt is the text up to the first line end.
func lineAt(text string) string {
	if n := strings.IndexAny(text, "\r\n"); n >= 0 {
		return text[:n]
	}
	return text
}

// countLines counts line ends: CRLF, LF and CR each count once.
func countLines(text string) int {
	return strings.Count(text, "\n") + strings.Count(text, "\r") - strings.Count(text, "\r\n")
}
