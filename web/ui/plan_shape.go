package ui

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"scumble/internal/restoration"
)

// form is the kind of shape that stands for a piece.
type form int

const (
	formSlim    form = iota // long and thin: mouldings, cappings, rails
	formPanel               // broad: panels, doors, boxes
	formUpright             // slim, standing: pillars
	formSmall               // knobs, ash trays, escutcheons
)

// Words by which a piece's form is told. English puts the kind of a piece
// anywhere in its name ("garnish moulding, front door"; "ash-tray lid"), so the
// first list with a hit decides. Common practice, no source.
var (
	smallWords   = []string{"knob", "cap", "caps", "tray", "escutcheon", "bezel", "handle", "pull", "badge", "button", "clock", "lighter", "switch", "grille", "lid", "plate", "ring", "clip"}
	slimWords    = []string{"moulding", "mouldings", "molding", "garnish", "capping", "cappings", "rail", "header", "strip", "bead", "beading", "finisher", "sill", "trim", "frame", "bar"}
	uprightWords = []string{"pillar", "post"}
	panelWords   = []string{"panel", "door", "box", "board", "console", "shelf", "dash", "dashboard", "fascia", "cover", "back"}

	// Small pieces of the front with one of these sit by the windscreen, not in
	// the instrument panel.
	screenWords = []string{"windscreen", "pillar", "mirror", "header", "roof", "visor"}

	dashWords = []string{"instrument", "dash", "dashboard", "fascia"}
)

// tooBigForSmall is the area in m² from which a tray is a shelf, not an ash tray.
const tooBigForSmall = 0.09

func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) })
}

func hasAny(have, want []string) bool {
	return slices.ContainsFunc(have, func(w string) bool { return slices.Contains(want, w) })
}

// formOf tells the form from the words of the name and, where they don't say,
// from the area.
func formOf(p PlanPiece) form {
	name := words(p.Name)
	switch {
	case hasAny(name, smallWords) && p.AreaM2 < tooBigForSmall:
		return formSmall
	case hasAny(name, uprightWords):
		return formUpright
	case hasAny(name, slimWords):
		return formSlim
	case hasAny(name, panelWords) || p.AreaM2 >= 0.04:
		return formPanel
	}
	return formSmall
}

// isDash says whether the piece is the instrument panel itself.
func isDash(p PlanPiece) bool {
	return p.Zone == restoration.ZoneFront && formOf(p) == formPanel && hasAny(words(p.Name), dashWords)
}

// usualArea stands in for an area that isn't known.
func usualArea(f form) float64 {
	switch f {
	case formSlim, formUpright:
		return 0.04
	case formPanel:
		return 0.12
	default:
		return 0.012
	}
}

// girth of a garnish moulding, developed, in m: 35 mm of face and its returns.
// Common practice, no source.
const girth = 0.055

// size is the width and height of a piece's shape in SVG units, at a scale of
// units to the metre, no wider than most. More area never gives a smaller shape.
func size(f form, areaM2, scale, most float64) (w, h float64) {
	if math.IsNaN(areaM2) || areaM2 <= 0 {
		areaM2 = usualArea(f)
	}
	areaM2 = min(areaM2, 4)
	switch f {
	case formSlim:
		return clamp(areaM2/girth*scale, 76, most), clamp(12+areaM2*110, 13, 21)
	case formUpright:
		return clamp(13+areaM2*110, 14, 22), clamp(areaM2/girth*scale*0.6, 52, 110)
	case formPanel:
		side := math.Sqrt(areaM2) * scale
		return clamp(side*1.25, 72, most), clamp(side*0.7, 42, 150)
	default:
		side := math.Sqrt(areaM2) * scale
		return clamp(side*1.15, 34, min(most, 110)), clamp(side*0.85, 24, 64)
	}
}

func clamp(v, low, high float64) float64 { return max(min(v, high), min(low, high)) }

// radius rounds the corners as the form has them.
func radius(f form, w, h float64) float64 {
	switch f {
	case formSlim, formUpright:
		return min(w, h) / 2
	case formPanel:
		return min(12, h/4)
	default:
		return min(6, h/4)
	}
}

// station is the column of a side to which a piece belongs: by the front door,
// by the rear door, at the quarter, or anywhere.
type station int

const (
	stationFront station = iota
	stationRear
	stationQuarter
	stationAny
)

// stationOf reads the place first, then the name.
func stationOf(p PlanPiece) station {
	for _, text := range []string{p.Place, p.Name} {
		have := words(text)
		switch {
		case hasAny(have, []string{"quarter"}):
			return stationQuarter
		case hasAny(have, []string{"rear", "back"}) && hasAny(have, uprightWords):
			return stationQuarter
		case hasAny(have, []string{"rear", "back"}):
			return stationRear
		case hasAny(have, []string{"front", "windscreen"}):
			return stationFront
		case hasAny(have, []string{"centre", "center", "middle"}) && hasAny(have, uprightWords):
			return stationRear
		}
	}
	return stationAny
}
