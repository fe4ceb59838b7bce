package restoration

import (
	"net/url"
	"strings"
)

// LabelSettings are how the shop prints its labels.
type LabelSettings struct {
	// Address stands in the square code of a label, "https://shop.example"; "" is the
	// address under which the page is opened. A label is read whatever it says.
	Address string `json:"address"`
	// Sheet is the shop's own; its zero value is the first that ships for its units.
	Sheet LabelSheet `json:"sheet"`
}

// LabelSheet is a sheet of labels of one size, in mm. The first label begins Left and
// Top from the sheet's edges; the next ones are StepX and StepY further.
type LabelSheet struct {
	PageW  float64 `json:"page_w"`
	PageH  float64 `json:"page_h"`
	Left   float64 `json:"left"`
	Top    float64 `json:"top"`
	LabelW float64 `json:"label_w"`
	LabelH float64 `json:"label_h"`
	StepX  float64 `json:"step_x"`
	StepY  float64 `json:"step_y"`
	Cols   int     `json:"cols"`
	Rows   int     `json:"rows"`
}

// The bounds of a sheet: a label must hold a code that can be read, a page must fit a
// printer. Common practice, no source.
const (
	MinLabelW, MinLabelH = 25.0, 12.0  // mm
	MinPage, MaxPage     = 12.0, 500.0 // mm
	maxLabelLines        = 50          // columns or rows
	sheetSlackMM         = 0.05        // by which printed dimensions are rounded
)

// Check lists what can't be right, each at its field: page_w, page_h, left, top,
// label_w, label_h, step_x, step_y, cols, rows, and names lengths in the shop's unit. Nil
// is all right.
func (s LabelSheet) Check(units Units) []*Problem {
	c := sheetCheck{units: units}
	c.within("page_w", "The page's width", s.PageW, MinLabelW, MaxPage)
	c.within("page_h", "The page's height", s.PageH, MinPage, MaxPage)
	c.within("left", "The left margin", s.Left, 0, MaxPage)
	c.within("top", "The top margin", s.Top, 0, MaxPage)
	c.within("label_w", "A label's width", s.LabelW, MinLabelW, MaxPage)
	c.within("label_h", "A label's height", s.LabelH, MinLabelH, MaxPage)
	c.count("cols", "columns", s.Cols)
	c.count("rows", "rows", s.Rows)
	if len(c.found) == 0 {
		c.along("label_w", "step_x", s.Left, s.LabelW, s.StepX, s.PageW, s.Cols, "wide", "columns")
		c.along("label_h", "step_y", s.Top, s.LabelH, s.StepY, s.PageH, s.Rows, "high", "rows")
	}
	return c.found
}

type sheetCheck struct {
	units Units
	found []*Problem
}

func (c *sheetCheck) add(field, format string, args ...any) {
	c.found = append(c.found, Problemf(TroubleInvalid, field, format, args...))
}

func (c *sheetCheck) within(field, what string, v, low, high float64) {
	if !(v >= low && v <= high) { // also refuses NaN
		c.add(field, "%s must be from %s to %s.", what, measureMM.least(low, c.units), measureMM.most(high, c.units))
	}
}

func (c *sheetCheck) count(field, what string, n int) {
	if n < 1 || n > maxLabelLines {
		c.add(field, "A sheet has from 1 to %d %s.", maxLabelLines, what)
	}
}

// along checks one direction: labels don't overlap, and the last one is on the page.
func (c *sheetCheck) along(label, step string, from, size, pitch, page float64, n int, how, lines string) {
	switch {
	case n > 1 && !(pitch >= size-sheetSlackMM):
		c.add(step, "From label to label must be at least the %s that a label is %s, or they overlap.", c.words(size), how)
	case n > 1 && !(pitch <= MaxPage):
		c.add(step, "From label to label must be at most %s.", measureMM.most(MaxPage, c.units))
	case from+float64(n-1)*max(pitch, 0)+size > page+sheetSlackMM:
		end := from + float64(n-1)*max(pitch, 0) + size
		c.add(label, "The labels don't fit the page: %d %s end at %s, the page is %s %s. Take less of one.", n, lines, c.words(end), c.words(page), how)
	}
}

func (c *sheetCheck) words(mm float64) string { return LengthWords(mm, c.units) }

// maxLabelAddress keeps the squares of a printed code large enough to be read.
const maxLabelAddress = 80

func (l LabelSettings) check(units Units) []*Problem {
	var found []*Problem
	if l.Address != "" {
		u, err := url.Parse(l.Address)
		if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "" ||
			strings.ContainsFunc(l.Address, func(r rune) bool { return r <= ' ' || r > '~' }) {
			found = append(found, Problemf(TroubleInvalid, "labels_address",
				"Write an address as a browser opens it, such as https://shop.example, or leave it empty."))
		} else if len(l.Address) > maxLabelAddress {
			found = append(found, Problemf(TroubleInvalid, "labels_address",
				"The address has more than %d characters: the printed code would be too fine to be read. Use a shorter one.", maxLabelAddress))
		}
	}
	if l.Sheet != (LabelSheet{}) {
		found = append(found, l.Sheet.Check(units)...)
	}
	return found
}
