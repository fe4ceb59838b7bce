package ui

import (
	"cmp"

	"slices"
)

// The interior is laid out unrolled and seen from the seats: in the left side
// the front of the car is at the right hand, in the right side at the left, so
// that both front doors meet below the instrument panel.
//
// Every piece gets a frame that holds its shape, its mark and its words. Frames
// are packed into rows; frames of one zone never overlap, except that the
// instrument panel holds the pieces set into it.

// Widths of a zone in SVG units: across a wide page, across half of one, and on
// a phone. Text is the same size in all.
const (
	wideZone   = 920.0
	halfZone   = 440.0
	narrowZone = 340.0
)

const (
	framePad = 6.0  // shape to the edge of its frame: room for halo and outline
	rowGap   = 8.0  // between rows
	colGap   = 10.0 // between frames in a row
	leastCol = 88.0 // narrowest frame that still holds a legible name
	doorPad  = 8.0  // a door's outline to the frames in it
	doorTop  = 12.0
	doorLean = 18.0 // how far a raked corner is set in
	doorDrop = 56.0 // and how far down it reaches
	wordsGap = 4.0 // shape to its words
	chipH    = 20.0
	chipSize = 12.5
	chipFree = 24.0 // of a chip's width, for clock and ends
)

// textLine is one line of words, centred at X on the baseline Y.
type textLine struct {
	X, Y  float64
	Text  string
	Class string
}

// cell is one piece in its place.
type cell struct {
	Piece    PlanPiece
	Form     form
	Frame    box
	Shape    box
	Plate    *box // paper behind the words, where they stand on another piece
	Lines    []textLine
	Chip     *box
	ChipText string
	Cut      cut
	Dash     bool // the instrument panel
}

// zoneView is one zone at one width.
type zoneView struct {
	Width, Height float64
	Cells         []cell // the instrument panel comes before what is set into it
	Dials         []dial // holes for instruments
	Doors         []door // faint outlines behind the columns of a side
}

type dial struct{ X, Y, R float64 }

// door is the outline of a door or quarter; Rake says which upper corner leans
// with the pillar: "left", "right" or "".
type door struct {
	box
	Rake string
}

// layoutZone places the pieces of one zone at a width. The same pieces give the
// same picture.
func layoutZone(z Zone, pieces []PlanPiece, width float64) zoneView {
	v := zoneView{Width: width}
	switch z {
	case ZoneLeft, ZoneRight:
		v.side(pieces, z == ZoneLeft)
	case ZoneFront:
		v.front(pieces)
	default:
		v.packed(inOrder(pieces), span{0, width}, 0, rowsByForm)
	}
	v.Height = max(v.Height, 1)
	return v
}

// scale is SVG units to the metre: a zone of the car is some 2 m across.
func (v *zoneView) scale() float64 { return v.Width / 2 }

// front puts the mouldings over the instrument panel and the small pieces and
// boxes into it. What finds no room there stands below.
func (v *zoneView) front(pieces []PlanPiece) {
	var above, inside, below []PlanPiece
	var dash *PlanPiece
	for _, p := range inOrder(pieces) {
		switch f := formOf(p); {
		case isDash(p) && dash == nil:
			dash = &p
		case f == formSlim || f == formUpright:
			above = append(above, p)
		case len(inside) < mostInside && !isDash(p):
			inside = append(inside, p)
		default:
			below = append(below, p)
		}
	}
	y := v.packed(above, span{0, v.Width}, 0, rowsByForm)
	if dash == nil {
		below = append(inside, below...)
	} else {
		y = v.dash(*dash, inside, y)
	}
	v.packed(below, span{0, v.Width}, y, rowsByForm)
}

// dashArch is how far the instrument panel's upper edge rises to its middle.
const dashArch = 14.0

// mostInside is how many pieces the instrument panel takes before it would grow
// out of proportion.
const mostInside = 8

// dash draws the instrument panel with its dials and what is set into it, and
// gives the y below it.
func (v *zoneView) dash(p PlanPiece, inside []PlanPiece, y float64) float64 {
	w := min(v.Width-2*framePad, max(v.Width*0.72, 400))
	least := w * 0.17
	shape := box{X: (v.Width - w) / 2, Y: y + framePad, W: w, R: 26, Arch: dashArch}
	dials := w * 0.30
	if len(inside) == 0 {
		dials = w * 0.5
	}
	at := len(v.Cells)
	v.Cells = append(v.Cells, cell{}) // the panel lies beneath what is set into it
	bottom := v.packed(inside, span{shape.X + dials, shape.X + w - 14}, shape.Y+dashArch+4, rowsOnPaper)
	shape.H = max(least, bottom-shape.Y+6)
	middle := shape.Y + shape.H/2 + dashArch/4
	r := min(least*0.3, dials*0.19)
	v.Dials = []dial{
		{shape.X + dials*0.36, middle, r},
		{shape.X + dials*0.36 + r*1.95, middle, r * 0.62},
	}
	c := cell{Piece: p, Form: formPanel, Shape: shape, Cut: cutFlat, Dash: true}
	c.words(v.Width*0.7, v.Width/2)
	v.Cells[at] = c
	v.Height = max(v.Height, c.Frame.Y+c.Frame.H)
	return c.Frame.Y + c.Frame.H + rowGap
}

// side stacks the pieces of each station in a column of its own; pieces of no
// station stand below, across the whole width.
func (v *zoneView) side(pieces []PlanPiece, frontAtRight bool) {
	byStation := map[station][]PlanPiece{}
	for _, p := range inOrder(pieces) {
		s := stationOf(p)
		byStation[s] = append(byStation[s], p)
	}
	var stations []station
	for _, s := range []station{stationFront, stationRear, stationQuarter} {
		if len(byStation[s]) > 0 {
			stations = append(stations, s)
		}
	}
	if frontAtRight {
		slices.Reverse(stations)
	}
	var y, x float64
	for i, w := range v.columns(stations, byStation) {
		y = max(y, v.packed(byStation[stations[i]], span{x + doorPad, x + w - doorPad}, doorTop, rowsByForm))
		v.Doors = append(v.Doors, door{box{X: x, W: w, R: 12}, rake(stations[i], frontAtRight)})
		x += w + colGap
	}
	for i := range v.Doors {
		v.Doors[i].H = y
	}
	v.Height = max(v.Height, y)
	v.packed(byStation[stationAny], span{0, v.Width}, y+rowGap, rowsByForm)
}

// rake leans the front door's edge with the windscreen and the quarter's with
// the back window.
func rake(s station, frontAtRight bool) string {
	switch {
	case s == stationFront && frontAtRight, s == stationQuarter && !frontAtRight:
		return "right"
	case s == stationFront, s == stationQuarter:
		return "left"
	}
	return ""
}

// columns shares the width out among the stations by their widest piece.
func (v *zoneView) columns(stations []station, pieces map[station][]PlanPiece) []float64 {
	free := v.Width - colGap*float64(max(len(stations)-1, 0))
	const least = leastCol + 2*doorPad
	wants := make([]float64, len(stations))
	var sum float64
	for i, s := range stations {
		wants[i] = least
		for _, p := range pieces[s] {
			w, _ := size(formOf(p), p.AreaM2, v.scale(), v.Width*0.5)
			wants[i] = max(wants[i], w)
		}
		sum += wants[i]
	}
	spare := free - least*float64(len(stations))
	for i := range wants {
		wants[i] = least + spare*wants[i]/sum
	}
	return wants
}

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

// cellFor is a piece with the size of its shape and the width of its frame.
func (v *zoneView) cellFor(p PlanPiece, most float64) cell {
	f := formOf(p)
	c := cell{Piece: p, Form: f, Cut: cutFor(p.ID+p.Name, f == formUpright, f == formPanel)}
	c.Shape.W, c.Shape.H = size(f, p.AreaM2, v.scale(), most-2*framePad)
	c.Shape.R = radius(f, c.Shape.W, c.Shape.H)
	wish := max(c.Shape.W+2*framePad, min(textWidth(p.Name, nameSize)+4, 132), leastCol)
	if p.Waiting != "" {
		wish = max(wish, textWidth(p.Waiting, chipSize)+chipFree+4)
	}
	c.Frame.W = min(wish, most)
	return c
}

// words sets the words below the shape and the chip upon it, and with them the
// frame, of the given width round the centre.
func (c *cell) words(width, centre float64) {
	y := c.Shape.Y + c.Shape.H + wordsGap
	if c.Piece.Waiting != "" {
		y = c.chip(width, y)
	}
	add := func(text, class string, most int) {
		lines, _ := wrapText(text, nameSize, width, most)
		for _, line := range lines {
			y += lineHeight
			c.Lines = append(c.Lines, textLine{centre, y - 3, line, class})
		}
	}
	add(c.Piece.Name, "name", 3)
	if c.Piece.Fixed {
		add("in the car", "sub", 1)
	}
	if c.Piece.Trouble != "" {
		add(c.Piece.Trouble, "woe", 1)
	}
	top := c.Shape.Y - framePad
	left := min(centre-width/2, c.Shape.X-framePad)
	right := max(centre+width/2, c.Shape.X+c.Shape.W+framePad)
	c.Frame = box{X: left, Y: top, W: right - left, H: y + framePad - top, R: 8}
}

// chip sets the clock and the hour: upon the shape where enough of it stays to
// be seen, otherwise below. It gives the y from which the words go on.
func (c *cell) chip(width, y float64) float64 {
	text, _ := shorten(c.Piece.Waiting, chipSize, width-chipFree-4)
	w := textWidth(text, chipSize) + chipFree
	c.ChipText = text
	c.Chip = &box{X: c.Shape.X + c.Shape.W/2 - w/2, Y: c.Shape.Y + c.Shape.H/2 - chipH/2, W: w, H: chipH, R: chipH / 2}
	if c.Shape.W < 1.5*w && c.Shape.H < 2.2*chipH || c.Shape.W < 1.1*w {
		c.Chip.Y = y + 3
	}
	return max(y, c.Chip.Y+chipH+1)
}

// plate lays paper behind the words.
func (c *cell) plate() {
	if len(c.Lines) == 0 {
		return
	}
	var widest float64
	for _, l := range c.Lines {
		widest = max(widest, textWidth(l.Text, nameSize))
	}
	top := c.Lines[0].Y - lineHeight + 5
	bottom := c.Lines[len(c.Lines)-1].Y + 4
	w := min(widest+10, c.Frame.W)
	c.Plate = &box{X: c.Lines[0].X - w/2, Y: top, W: w, H: bottom - top, R: 5}
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
