package ui

import (
	"hash/fnv"
	"strconv"
	"unicode"

	"scumble/internal/restoration"
)

// cut says how a piece is cut from the board.
type cut string

const (
	cutQuiet   cut = "q" // along the quiet board
	cutFlat    cut = "f" // along the flat-sawn board
	cutUpright cut = "u" // quiet, with the grain upright: pillars
)

// cutFor picks a board for a piece: the same piece always gets the same one.
func cutFor(id string, upright, broad bool) cut {
	switch {
	case upright:
		return cutUpright
	case broad || hash(id)%3 == 0:
		return cutFlat
	}
	return cutQuiet
}

func hash(s string) uint32 {
	h := fnv.New32a()
	_, _ = h.Write([]byte(s)) // a hash never fails to write
	return h.Sum32()
}

// fill is the paint of a face: the look in the scheme's colours.
func (s Scheme) fill(look restoration.Look, c cut) string {
	switch look = drawn(look); look {
	case restoration.LookPrimed:
		return "#8f918e"
	case restoration.LookGrounded:
		return s.Ground()
	case restoration.LookGrained, restoration.LookCleared, restoration.LookCut, restoration.LookFitted:
		return "url(#" + s.id() + string(c) + ")"
	default:
		return "url(#sw-" + string(look) + ")"
	}
}

// ShowsScheme tells whether a look is drawn in a scheme's colours: from the ground on.
func ShowsScheme(look restoration.Look) bool {
	one, other := NewScheme("#000000", "#000000"), NewScheme("#ffffff", "#ffffff")
	return one.fill(look, cutFlat) != other.fill(look, cutFlat)
}

// monoFill is the hatch that stands for the look on paper without colour.
func monoFill(look restoration.Look) string { return "url(#mono-" + string(drawn(look)) + ")" }

// offset moves a scheme's board, so that two cars in one list aren't cut from
// the same spot.
func (s Scheme) offset() string {
	h := hash(s.id())
	return "translate(" + strconv.Itoa(int(h%320)) + " " + strconv.Itoa(int(h/320%112)) + ")"
}

// box is the outline of a face: a rounded rectangle in SVG units, whose upper
// edge may rise by Arch to its middle.
type box struct{ X, Y, W, H, R, Arch float64 }

func (b box) inset(d float64) box {
	return box{b.X + d, b.Y + d, b.W - 2*d, b.H - 2*d, max(b.R-d, 0), b.Arch}
}

// arched is the outline as a path, for a box with an arch. It stays within the
// box.
func (b box) arched() string {
	r := min(b.R, b.H/2)
	// A quadratic curve reaches half the height of its steering point.
	return "M" + coord(b.X) + " " + coord(b.Y+b.Arch+r*0.6) +
		"q0 " + coord(-r*0.6) + " " + coord(r) + " " + coord(-r*0.6-b.Arch*0.1) +
		"Q" + coord(b.X+b.W/2) + " " + coord(b.Y-b.Arch*0.9) + " " + coord(b.X+b.W-r) + " " + coord(b.Y+b.Arch*0.9) +
		"q" + coord(r) + " " + coord(b.Arch*0.1) + " " + coord(r) + " " + coord(r*0.6+b.Arch*0.1) +
		"V" + coord(b.Y+b.H-r) + "q0 " + coord(r) + " " + coord(-r) + " " + coord(r) +
		"H" + coord(b.X+r) + "q" + coord(-r) + " 0 " + coord(-r) + " " + coord(-r) + "z"
}

// gloss is the sheen of fresh clear: soft, along the upper edge.
func (b box) gloss() box {
	in := b.inset(min(2.2, b.H*0.12))
	in.H *= 0.42
	in.R = min(in.R, in.H/2)
	return in
}

// reflection is a window in cut and polished clear: two hard-edged bars at one
// slant, whatever the size of the face.
func (b box) reflection() string {
	in := b.inset(1)
	if in.H > in.W*1.4 { // upright: the bars cross from edge to edge
		across := func(y, thick float64) string {
			return "M" + coord(in.X) + " " + coord(in.Y+y) + "l" + coord(in.W) + " " + coord(-in.W*0.55) + "v" + coord(thick) + "l" + coord(-in.W) + " " + coord(in.W*0.55) + "z"
		}
		return across(in.H*0.42, in.W*0.6) + across(in.H*0.42+in.W*0.9, in.W*0.25)
	}
	if in.H > 70 { // a window, not a blind: it stays in the upper part
		in.Y += b.Arch + 3
		in.H = min(in.H*0.4, 46)
	}
	lean := in.H * 0.55
	wide := min(max(in.W*0.09, 5), 26, in.H*0.8)
	left := in.X + max(min(in.W*0.22, 60), lean*0.5)
	if b.Arch > 0 { // clear of what is set into the panel
		left = in.X + max(in.W*0.04, lean*0.5)
	}
	bar := func(x, w float64) string {
		return "M" + coord(x+lean/2) + " " + coord(in.Y) + "h" + coord(w) + "l" + coord(-lean) + " " + coord(in.H) + "h" + coord(-w) + "z"
	}
	if left+wide*1.9+lean/2 > in.X+in.W-in.R/2 {
		return bar(in.X+in.W*0.4, in.W*0.2)
	}
	return bar(left, wide) + bar(left+wide*1.45, wide*0.4)
}

// screws are the centres of the two screw heads, at the ends of the face.
func (b box) screws() (first, second point, radius float64) {
	radius = min(max(min(b.W, b.H)*0.19, 2), 4.2)
	gap := max(radius*1.9, min(b.R, b.H/2, 14)*0.9)
	if b.H > b.W*1.4 { // upright
		return point{b.X + b.W/2, b.Y + gap}, point{b.X + b.W/2, b.Y + b.H - gap}, radius
	}
	if b.Arch > 0 { // in the lower corners, clear of the dials
		return point{b.X + 2*gap, b.Y + b.H - 1.6*gap}, point{b.X + b.W - 2*gap, b.Y + b.H - 1.6*gap}, radius
	}
	return point{b.X + gap, b.Y + b.H/2}, point{b.X + b.W - gap, b.Y + b.H/2}, radius
}

// slot is the path of a screw's slot: near upright, as a careful hand leaves it.
func slot(c point, r float64) string {
	return "M" + coord(c.X-r*0.25) + " " + coord(c.Y-r*0.8) + "L" + coord(c.X+r*0.25) + " " + coord(c.Y+r*0.8)
}

// distinct drops schemes that share their patterns; the order stays.
func distinct(schemes []Scheme) []Scheme {
	seen := map[string]bool{}
	var list []Scheme
	for _, s := range schemes {
		if !seen[s.id()] {
			seen[s.id()] = true
			list = append(list, s)
		}
	}
	return list
}

// printedLetter is the look's letter; a shop's own stage prints its own initial.
func printedLetter(look restoration.Look, word string) string {
	if drawn(look) == restoration.LookOther {
		for _, r := range word {
			return string(unicode.ToUpper(r))
		}
	}
	return letter(look)
}
