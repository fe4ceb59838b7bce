package labels

import "scumble/internal/restoration"

// Preset is a sheet as it is commonly sold, named by its dimensions.
type Preset struct {
	Key, Word string
	restoration.LabelSheet
}

// Presets lists the sheets that ship; the first is offered. Dimensions are common
// practice, no source: measure a sheet before a whole pack is printed.
func Presets() []Preset {
	return []Preset{
		{"a4-24", "A4, 3 × 8 of 70 × 37 mm", sheet(a4, 0, 0.5, 70, 37, 70, 37, 3, 8)},
		{"a4-21", "A4, 3 × 7 of 63.5 × 38.1 mm", sheet(a4, 7.2, 15.1, 63.5, 38.1, 66, 38.1, 3, 7)},
		{"a4-14", "A4, 2 × 7 of 99.1 × 38.1 mm", sheet(a4, 4.65, 15.1, 99.1, 38.1, 101.6, 38.1, 2, 7)},
		{"a4-65", "A4, 5 × 13 of 38.1 × 21.2 mm", sheet(a4, 4.75, 10.7, 38.1, 21.2, 40.6, 21.2, 5, 13)},
		{"letter-30", "US letter, 3 × 10 of 66.7 × 25.4 mm", sheet(letter, 4.8, 12.7, 66.7, 25.4, 69.8, 25.4, 3, 10)},
		{"letter-10", "US letter, 2 × 5 of 101.6 × 50.8 mm", sheet(letter, 4, 12.7, 101.6, 50.8, 106.3, 50.8, 2, 5)},
		{"roll-62", "Single labels of 62 × 29 mm", sheet(size{62, 29}, 0, 0, 62, 29, 62, 29, 1, 1)},
	}
}

type size struct{ w, h float64 }

var (
	a4     = size{210, 297}
	letter = size{215.9, 279.4}
)

func sheet(page size, left, top, w, h, stepX, stepY float64, cols, rows int) restoration.LabelSheet {
	return restoration.LabelSheet{PageW: page.w, PageH: page.h, Left: left, Top: top, LabelW: w, LabelH: h, StepX: stepX, StepY: stepY, Cols: cols, Rows: rows}
}

// FindPreset finds a sheet by its key.
func FindPreset(key string) (Preset, bool) {
	for _, p := range Presets() {
		if p.Key == key {
			return p, true
		}
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
