package ui

import (
	"cmp"
	"slices"
)

// span is a stretch from one x to another.
type span struct{ From, To float64 }

func (s span) width() float64  { return s.To - s.From }
func (s span) centre() float64 { return (s.From + s.To) / 2 }

// rowKind says how rows are made up.
type rowKind int

const (
	rowsByForm  rowKind = iota // pieces of one form to a row
	rowsOnPaper                // any forms together, their words on paper
)

// packed sets pieces in rows between two x, each row centred, and gives the y
// below the last.
func (v *zoneView) packed(pieces []PlanPiece, s span, y float64, kind rowKind) float64 {
	var row []cell
	var used float64
	flush := func() {
		if len(row) > 0 {
			y = v.place(row, s.centre()-used/2, y, kind == rowsOnPaper)
		}
		row, used = nil, 0
	}
	for _, p := range pieces {
		c := v.cellFor(p, s.width())
		w := c.Frame.W
		full := used+colGap+w > s.width()+1e-6
		if len(row) > 0 && (full || kind == rowsByForm && tier(row[0].Form) != tier(c.Form)) {
			flush()
		}
		if len(row) > 0 {
			used += colGap
		}
		used += w
		row = append(row, c)
	}
	flush()
	return y
}

// place sets one row at x, y and gives the y below it. Shapes of a row share
// their middle line, so that words stand level.
func (v *zoneView) place(row []cell, x, y float64, plates bool) float64 {
	var tallest, bottom float64
	for _, c := range row {
		tallest = max(tallest, c.Shape.H)
	}
	for _, c := range row {
		width := c.Frame.W
		c.Shape.X = x + (width-c.Shape.W)/2
		c.Shape.Y = y + framePad + (tallest-c.Shape.H)/2
		c.words(width, x+width/2)
		if plates {
			c.plate()
		}
		v.Cells = append(v.Cells, c)
		bottom = max(bottom, c.Frame.Y+c.Frame.H)
		x += width + colGap
	}
	v.Height = max(v.Height, bottom)
	return bottom + rowGap
}

// tier is the row in which a form stands: slim on top, then panels, then small.
func tier(f form) int {
	switch f {
	case formSlim:
		return 0
	case formPanel:
		return 1
	default:
		return 2
	}
}

// inOrder sorts by form, then by the piece's order, then left before right.
func inOrder(pieces []PlanPiece) []PlanPiece {
	sorted := slices.Clone(pieces)
	slices.SortStableFunc(sorted, func(a, b PlanPiece) int {
		return cmp.Or(
			cmp.Compare(tier(formOf(a)), tier(formOf(b))),
			cmp.Compare(a.Order, b.Order),
			cmp.Compare(sideRank(a.Side), sideRank(b.Side)),
		)
	})
	return sorted
}

func sideRank(side string) int {
	switch side {
	case "left":
		return 0
	case "right":
		return 2
	}
	return 1
}
