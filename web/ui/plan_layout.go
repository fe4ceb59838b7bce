package ui

import (
	"slices"

	"scumble/internal/restoration"
)

// The interior is laid out unrolled and seen from the seats: in the left side
// the front of the car is at the right hand, in the right side at the left, so
// that both front doors meet below the instrument panel.
//
// Every piece gets a frame that holds its shape, its mark and its words. Frames
// are packed into rows; frames of one zone never overlap, except that the
// instrument panel holds the pieces set into it.

// Widths of a zone in SVG units: across a wide page, across a tablet held
// upright, across half of a wide page, and across a phone or half a tablet. Text is the same size in all.
const (
	wideZone   = 920.0
	midZone    = 640.0
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
	wordsGap = 4.0  // shape to its words
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
	Pairs         bool   // left and right pieces share a row
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
func layoutZone(z restoration.Zone, pieces []PlanPiece, width float64) zoneView {
	v := zoneView{Width: width, Pairs: z != restoration.ZoneLeft && z != restoration.ZoneRight}
	switch z {
	case restoration.ZoneLeft, restoration.ZoneRight:
		v.side(pieces, z == restoration.ZoneLeft)
	case restoration.ZoneFront:
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
		case f == formSlim || f == formUpright || hasAny(words(p.Name), screenWords):
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
	middle := shape.Y + min(shape.H, least*1.5)/2 + dashArch/4
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
