package office

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web/ui"
)

// previewRows is how many rows of a table the page shows, in the order of the file.
// Rows with a fault are the last to be left out.
const previewRows = 200

// preview is a table as it was read, before anything is written.
type preview struct {
	trimlist.List
	Print string // of the text, so that only what was shown can be confirmed
	Shown []trimlist.Row
	More  int // rows that are not shown
}

// previewList reads the table of a form for a car that has some pieces already. It is
// nil where there is none, which is then said at the field.
func (o *Office) previewList(r *http.Request, f *form, have []restoration.Piece) (*preview, error) {
	text := f.get(listText)
	if strings.TrimSpace(text) == "" {
		f.fault(listFile, "Choose a CSV file, or paste the table below.")
		return nil, nil
	}
	if utf8.ValidString(text) && strings.ContainsRune(text, utf8.RuneError) {
		f.fault(listText, "The text holds characters that could not be read, shown as �. Correct them here, or choose the file again, saved as UTF-8.")
	}
	routes, err := o.shop.Routes(r.Context())
	if err != nil {
		return nil, err
	}
	known := trimlist.Known{Routes: routeNames(routes)}
	for _, p := range have {
		known.Pieces = append(known.Pieces, p.Details)
	}
	list, err := trimlist.ParsePieces(strings.NewReader(text), known)
	if err != nil {
		return nil, err
	}
	return newPreview(list, text), nil
}

// routeNames are the names and keys by which a table may call a route.
func routeNames(routes []restoration.Route) []string {
	var names []string
	for _, r := range routes {
		names = append(names, r.Name, r.Key)
	}
	return names
}

func newPreview(list trimlist.List, text string) *preview {
	p := &preview{List: list, Print: printOf(text), Shown: list.Rows}
	if p.More = len(list.Rows) - previewRows; p.More <= 0 {
		p.More = 0
		return p
	}
	p.Shown = slices.Clone(list.Rows)
	slices.SortStableFunc(p.Shown, func(a, b trimlist.Row) int {
		return min(len(b.Faults), 1) - min(len(a.Faults), 1)
	})
	p.Shown = p.Shown[:previewRows]
	slices.SortFunc(p.Shown, func(a, b trimlist.Row) int { return cmp.Compare(a.Line, b.Line) })
	return p
}

// printOf is the same for two texts that differ only in what a browser changes on
// the way: the ends of lines.
func printOf(text string) string {
	sum := sha256.Sum256([]byte(strings.ReplaceAll(text, "\r\n", "\n")))
	return hex.EncodeToString(sum[:16])
}

// confirmed tells whether a person saw this very table and said yes to it.
func (p *preview) confirmed(f *form) bool {
	return f.get("act") == "confirm" && f.get(listSeen) == p.Print
}

// columns are the table's columns in order, with what each is taken for.
func (p *preview) columns() []previewColumn {
	var out []previewColumn
	for i, name := range p.Header {
		c := previewColumn{Name: name, Ignored: true}
		if i < len(p.List.Columns) && p.List.Columns[i] != "" {
			c.Ignored = false
		}
		out = append(out, c)
	}
	return out
}

// headAt is the head of a column; "" for a cell beyond the last.
func (p *preview) headAt(i int) string {
	if i >= len(p.Header) {
		return ""
	}
	return p.Header[i]
}

// previewColumn is a column of the table's header.
type previewColumn struct {
	Name    string
	Ignored bool
}

// wrongAt is what is wrong with a cell; "" when nothing is.
func (p *preview) wrongAt(row trimlist.Row, i int) string {
	for _, fault := range row.Faults {
		if i < len(p.List.Columns) && fault.Column != "" && fault.Column == p.List.Columns[i] {
			return fault.What
		}
	}
	return ""
}

// carried is the text of the table for the page to send back; a file that is no
// text is not carried.
func carried(f *form) string {
	if text := f.get(listText); !strings.ContainsRune(text, 0) {
		return text
	}
	return ""
}

// verdict says in a sentence what the table holds.
func (p *preview) verdict() string {
	if p.OK() {
		return ui.Count(len(p.Pieces), "piece stands", "pieces stand") + " in the table. Nothing is written yet."
	}
	n := len(p.Faults) + p.Unlisted
	return ui.Count(n, "thing is", "things are") + " wrong with the table. Nothing is written; correct the text below, or choose the corrected file."
}

func ignoredSentence(ignored []string) string {
	if len(ignored) == 1 {
		return "This column isn't known and is ignored: " + ignored[0] + "."
	}
	return "These columns aren't known and are ignored: " + strings.Join(ignored, ", ") + "."
}

func lineWord(f trimlist.Fault) string {
	if f.Line == 0 {
		return "file"
	}
	return strconv.Itoa(f.Line)
}

func columnWord(f trimlist.Fault) string {
	if f.Column == "" {
		return "whole line"
	}
	return f.Column
}
