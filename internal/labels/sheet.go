package labels

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// Preset is a sheet as it is commonly sold.
type Preset struct {
	Key   string
	Paper string // "A4"; "" where a label is a page
	restoration.LabelSheet
}

// The papers that labels are sold on.
const (
	paperA4     = "A4"
	paperLetter = "US letter"
)

// Presets lists the sheets that ship, those of the shop's own paper first; the first is
// offered. Dimensions are from memory of stock that is commonly sold, no source: measure
// a sheet before a whole pack is printed.
func Presets(units restoration.Units) []Preset {
	list := []Preset{
		{"a4-24", paperA4, sheet(a4, 0, 0.5, 70, 37, 70, 37, 3, 8)},
		{"a4-21", paperA4, sheet(a4, 7.2, 15.1, 63.5, 38.1, 66, 38.1, 3, 7)},
		{"a4-14", paperA4, sheet(a4, 4.65, 15.1, 99.1, 38.1, 101.6, 38.1, 2, 7)},
		{"a4-65", paperA4, sheet(a4, 4.75, 10.7, 38.1, 21.2, 40.6, 21.2, 5, 13)},
		{"letter-30", paperLetter, inches(sheet(letter, 0.1875, 0.5, 2.625, 1, 2.75, 1, 3, 10))},
		{"letter-10", paperLetter, inches(sheet(letter, 0.15625, 0.5, 4, 2, 4.1875, 2, 2, 5))},
		{"roll-62", "", sheet(size{62, 29}, 0, 0, 62, 29, 62, 29, 1, 1)},
	}
	own := paperA4
	if units == restoration.US {
		own = paperLetter
	}
	slices.SortStableFunc(list, func(a, b Preset) int { return elsewhere(a, own) - elsewhere(b, own) })
	return list
}

// elsewhere is 1 for a sheet of another paper than the shop's own.
func elsewhere(p Preset, own string) int {
	if p.Paper == "" || p.Paper == own {
		return 0
	}
	return 1
}

// Words name a sheet by its dimensions in the shop's unit: "A4, 3 × 8 of 70 × 37 mm" or
// "US letter, 3 × 10 of 2.625 × 1 in".
func (p Preset) Words(units restoration.Units) string {
	width, _, _ := strings.Cut(restoration.LengthWords(p.LabelW, units), " ")
	of := width + " × " + restoration.LengthWords(p.LabelH, units)
	if p.Paper == "" {
		return "Single labels of " + of
	}
	return fmt.Sprintf("%s, %d × %d of %s", p.Paper, p.Cols, p.Rows, of)
}

type size struct{ w, h float64 }

var (
	a4     = size{210, 297}
	letter = size{8.5, 11} // inches
)

func sheet(page size, left, top, w, h, stepX, stepY float64, cols, rows int) restoration.LabelSheet {
	return restoration.LabelSheet{PageW: page.w, PageH: page.h, Left: left, Top: top, LabelW: w, LabelH: h, StepX: stepX, StepY: stepY, Cols: cols, Rows: rows}
}

// lengths are all that is measured of a sheet.
func lengths(s *restoration.LabelSheet) []*float64 {
	return []*float64{&s.PageW, &s.PageH, &s.Left, &s.Top, &s.LabelW, &s.LabelH, &s.StepX, &s.StepY}
}

// inches gives a sheet that is written in inches in mm.
func inches(s restoration.LabelSheet) restoration.LabelSheet {
	for _, v := range lengths(&s) {
		*v *= coating.MMPerInch
	}
	return s
}

// FindPreset finds a sheet by its key.
func FindPreset(key string) (Preset, bool) {
	return findPreset(func(p Preset) bool { return p.Key == key })
}

// roundedMM is by how much the dimensions of one sheet may be rounded apart.
const roundedMM = 0.1

// PresetOf finds the sheet that has the dimensions of s, but for how they were rounded.
func PresetOf(s restoration.LabelSheet) (Preset, bool) {
	return findPreset(func(p Preset) bool {
		own, theirs := lengths(&s), lengths(&p.LabelSheet)
		for i := range own {
			if !(math.Abs(*own[i]-*theirs[i]) <= roundedMM) {
				return false
			}
		}
		return s.Cols == p.Cols && s.Rows == p.Rows
	})
}

func findPreset(is func(Preset) bool) (Preset, bool) {
	list := Presets(restoration.Metric)
	if i := slices.IndexFunc(list, is); i >= 0 {
		return list[i], true
	}
	return Preset{}, false
}

// Slot is the place of one label on its page.
type Slot struct{ X, Y, W, H float64 }

// Slots places n labels on pages of a sheet that passes its check, line by line. start
// counts from 1: the labels of the first page before it were used; one that is not on the
// page begins at the first.
func Slots(s restoration.LabelSheet, start, n int) [][]Slot {
	each := s.Cols * s.Rows
	if start < 1 || start > each {
		start = 1
	}
	var pages [][]Slot
	for i := range n {
		at := start - 1 + i
		if at%each == 0 || i == 0 {
			pages = append(pages, nil)
		}
		last := len(pages) - 1
		pages[last] = append(pages[last], slotAt(s, at%each))
	}
	return pages
}

func slotAt(s restoration.LabelSheet, i int) Slot {
	return Slot{X: s.Left + float64(i%s.Cols)*s.StepX, Y: s.Top + float64(i/s.Cols)*s.StepY, W: s.LabelW, H: s.LabelH}
}
