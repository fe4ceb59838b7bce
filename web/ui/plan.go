package ui

import (
	"math"
	"strings"

	"scumble/internal/restoration"
)

// PlanPiece is one trim piece in the interior plan.
type PlanPiece struct {
	ID      string
	Name    string
	Href    string           // "" draws it without a link
	Zone    restoration.Zone // an unknown zone counts as loose
	Side    string           // "left", "right" or ""
	Place   string           // place in the zone in words: "front door", "centre"
	Order   int              // order within the zone; equal ones keep the order of the slice
	AreaM2  float64
	Look    restoration.Look
	Stage   string // word of the stage; "" takes the look's own
	Waiting string // "16:40" or "Fri 07:40"; "" when it doesn't wait
	Trouble string // "held", "sent back", "late"; "" for none
	Fixed   bool   // worked in the car

	Selected bool
}

// PlanProps is the interior of one car.
type PlanProps struct {
	Label  string // accessible name, e.g. "Interior of 26-014"
	Scheme Scheme
	Pieces []PlanPiece
	Empty  string // what to do first when there are no pieces
}

func (p PlanPiece) stage() string { return wordOr(p.Stage, p.Look) }

// says is the piece's accessible name: what it is, of which side, how far, what holds it.
func (p PlanPiece) says() string {
	of := restoration.Details{Name: p.Name, Zone: p.Zone, Side: restoration.Side(p.Side)}
	parts := []string{of.Title(), p.stage()}
	if p.Waiting != "" {
		parts = append(parts, "waiting until "+p.Waiting)
	}
	if p.Trouble != "" {
		parts = append(parts, p.Trouble)
	}
	if p.Fixed {
		parts = append(parts, "fixed in the car")
	}
	return strings.Join(parts, ", ")
}

// zonePicture is a zone ready to be drawn, at every width at which the style
// sheet may show it.
type zonePicture struct {
	Zone          restoration.Zone
	Word          string
	Before, After string // which way the car points
	Views         []sizedView
}

// sizedView is a zone at one width, with the classes that name the pages it is
// for.
type sizedView struct {
	zoneView
	Class string
}

// zones are the zones that hold a piece, in the order of the plan.
func zones(pieces []PlanPiece) []zonePicture {
	byZone := map[restoration.Zone][]PlanPiece{}
	for _, p := range pieces {
		byZone[p.zone()] = append(byZone[p.zone()], p)
	}
	var list []zonePicture
	for _, z := range []zonePicture{
		{Zone: restoration.ZoneFront, Word: "Front"},
		{Zone: restoration.ZoneLeft, Word: "Left side", Before: "← rear", After: "front →"},
		{Zone: restoration.ZoneRight, Word: "Right side", Before: "← front", After: "rear →"},
		{Zone: restoration.ZoneRear, Word: "Rear"},
		{Zone: restoration.ZoneLoose, Word: "Loose"},
	} {
		own := byZone[z.Zone]
		if len(own) == 0 {
			continue
		}
		add := func(class string, width float64) {
			z.Views = append(z.Views, sizedView{layoutZone(z.Zone, own, width), class})
		}
		if z.Zone == restoration.ZoneLeft || z.Zone == restoration.ZoneRight {
			add("on-wide", halfZone)
			add("on-mid on-phone", narrowZone)
		} else {
			add("on-wide", wideZone)
			add("on-mid", midZone)
			add("on-phone", narrowZone)
		}
		list = append(list, z)
	}
	return list
}

func (p PlanPiece) zone() restoration.Zone {
	switch p.Zone {
	case restoration.ZoneFront, restoration.ZoneLeft, restoration.ZoneRight, restoration.ZoneRear:
		return p.Zone
	}
	return restoration.ZoneLoose
}

func (p PlanProps) label() string {
	if p.Label == "" {
		return "Interior"
	}
	return p.Label
}

func (v zoneView) viewBox() string { return "0 0 " + coord(v.Width) + " " + coord(math.Ceil(v.Height)) }

// bead is the raised line along a moulding.
func (c cell) bead() string {
	return "M" + coord(c.Shape.X+c.Shape.R) + " " + coord(c.Shape.Y+c.Shape.H*0.3) + "h" + coord(c.Shape.W-2*c.Shape.R)
}

// pointer rests where a gauge without current rests.
func (d dial) pointer() string {
	return "M" + coord(d.X+d.R*0.15) + " " + coord(d.Y-d.R*0.1) + "L" + coord(d.X-d.R*0.5) + " " + coord(d.Y+d.R*0.36)
}

// hands of the clock on a chip.
func (b box) hands() string {
	return "M" + coord(b.X+11) + " " + coord(b.Y+b.H/2-3.2) + "v3.2h2.400"
}

// path of a door: a rounded rectangle, one of whose upper corners leans with
// its pillar.
func (d door) path() string {
	var left, right float64
	switch d.Rake {
	case "left":
		left = doorLean
	case "right":
		right = doorLean
	}
	r := d.R
	// t is how far down a leaning edge its rounding begins.
	const t = 0.22
	x0, x1, y := d.X, d.X+d.W, d.Y
	drop := func(lean float64) float64 { return doorDrop*lean/doorLean + r*(1-lean/doorLean) }
	return "M" + coord(x0) + " " + coord(y+drop(left)) +
		"L" + coord(x0+left*(1-t)) + " " + coord(y+drop(left)*t+r*(1-left/doorLean)*(1-t)) +
		"Q" + coord(x0+left) + " " + coord(y) + " " + coord(x0+left+r) + " " + coord(y) +
		"H" + coord(x1-right-r) +
		"Q" + coord(x1-right) + " " + coord(y) + " " + coord(x1-right*(1-t)) + " " + coord(y+drop(right)*t+r*(1-right/doorLean)*(1-t)) +
		"L" + coord(x1) + " " + coord(y+drop(right)) +
		"V" + coord(y+d.H-r) + "q0 " + coord(r) + " " + coord(-r) + " " + coord(r) +
		"H" + coord(x0+r) + "q" + coord(-r) + " 0 " + coord(-r) + " " + coord(-r) + "z"
}

// letterX is where the printed letter stands: in the middle, or beside a chip
// that covers it.
func (c cell) letterX() float64 {
	if c.Chip != nil && c.Chip.Y < c.Shape.Y+c.Shape.H {
		return c.Shape.X + (c.Shape.W-c.Chip.W)/4
	}
	return c.Shape.X + c.Shape.W/2
}
