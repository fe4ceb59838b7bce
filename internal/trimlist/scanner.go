package trimlist

import (
	"fmt"
	"strings"
)

// record is one line of the table, which may span several lines of the file.
type record struct {
	line  int // of the file, on which it begins
	cells []string
	flaw  *flaw
}

// flaw is why a record can't be split into cells.
type flaw struct {
	cell     int // index of the cell in which it shows
	what, do string
}

// blank tells whether there is nothing in the record.
func (r record) blank() bool {
	if r.flaw != nil {
		return false
	}
	for _, c := range r.cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// scanner splits a text into records after RFC 4180. encoding/csv is not used
// because it gives up at the first stray quote and turns CRLF inside a cell into LF.
// A record with a flaw gives its first line as its only cell, and scanning goes on
// at the line after that one: a forgotten quote hides no other line.
type scanner struct {
	text string
	pos  int
	line int // of pos
	sep  byte
}

// newScanner takes the separator from the first line with text on it.
func newScanner(text string) *scanner {
	s := &scanner{text: text, line: 1}
	s.skipBlank()
	s.sep = separator(lineAt(s.text[s.pos:]))
	return s
}

// separator is the one of comma and semicolon that occurs more often outside quotes.
func separator(header string) byte {
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

// next gives the next record that is not an empty line; false at the end.
func (s *scanner) next() (record, bool) {
	s.skipBlank()
	if s.pos == len(s.text) {
		return record{}, false
	}
	rec := record{line: s.line}
	start := s.pos
	for {
		cell, f := s.cell()
		if f == nil && len(rec.cells) == MaxColumns {
			f = &flaw{what: fmt.Sprintf("the line has more than %d cells", MaxColumns), do: "Delete the columns that do not belong to the list."}
		}
		if f != nil {
			f.cell = len(rec.cells)
			rec.flaw = f
			break
		}
		rec.cells = append(rec.cells, cell)
		if s.pos == len(s.text) || s.endLine() {
			return rec, true
		}
		s.pos++ // the separator
	}
	s.pos, s.line = start, rec.line
	first := lineAt(s.text[start:])
	rec.cells = []string{first}
	s.pos += len(first)
	s.endLine()
	return rec, true
}

// cell reads one cell and stops before the separator, the line end or the end.
func (s *scanner) cell() (string, *flaw) {
	rest := s.text[s.pos:]
	if strings.HasPrefix(rest, `"`) {
		return s.quoted()
	}
	n := strings.IndexAny(rest, string(rune(s.sep))+"\r\n\"")
	if n < 0 {
		n = len(rest)
	} else if rest[n] == '"' {
		return "", &flaw{what: "a double quote stands inside a cell that does not begin with one",
			do: "Put the whole cell in double quotes and write each double quote inside it twice."}
	}
	s.pos += n
	return rest[:n], nil
}

// quoted reads a cell in double quotes.
func (s *scanner) quoted() (string, *flaw) {
	from := s.pos + 1
	for at := from; ; {
		n := strings.IndexByte(s.text[at:], '"')
		if n < 0 {
			return "", &flaw{what: "a cell opens with a double quote that is never closed",
				do: "Put a double quote at the end of the cell."}
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
func (s *scanner) closed(from, to int) (string, *flaw) {
	inside := s.text[from : to-1]
	if to < len(s.text) && !strings.ContainsRune("\r\n", rune(s.text[to])) && s.text[to] != s.sep {
		return "", &flaw{what: closedEarly(s.line, countLines(inside)),
			do: "Close the cell with a double quote just before the separator, and write each double quote inside it twice."}
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
func (s *scanner) endLine() bool {
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

func (s *scanner) skipBlank() {
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
