package ui

import (
	"slices"
	"strings"

	"scumble/internal/restoration"
)

// LookWord is the plain name that stands beside a look's swatch.
func LookWord(l restoration.Look) string {
	switch drawn(l) {
	case restoration.LookBare:
		return "as it came in"
	case restoration.LookOther:
		return "another stage"
	default:
		return string(l)
	}
}

// wordOr is the given word or the look's own.
func wordOr(given string, l restoration.Look) string {
	if given != "" {
		return given
	}
	return LookWord(l)
}

// letter carries the look on paper printed without colour. No two looks share one.
func letter(l restoration.Look) string {
	switch l {
	case restoration.LookBare:
		return "A"
	case restoration.LookStripped:
		return "S"
	case restoration.LookRepaired:
		return "R"
	case restoration.LookPrimed:
		return "P"
	case restoration.LookBlocked:
		return "B"
	case restoration.LookGrounded:
		return "G"
	case restoration.LookGrained:
		return "N"
	case restoration.LookCleared:
		return "C"
	case restoration.LookCut:
		return "U"
	case restoration.LookFitted:
		return "F"
	default:
		return "O"
	}
}

// drawn is the look whose patterns exist.
func drawn(l restoration.Look) restoration.Look {
	if slices.Contains(restoration.Looks(), l) {
		return l
	}
	return restoration.LookOther
}

// Scheme is the pair of colours of a car's finish. Its zero value draws in the
// fall-back colours.
type Scheme struct{ ground, grain string }

const (
	fallbackGround = "#9a6a3c"
	fallbackGrain  = "#3f2413"
)

// NewScheme takes two colours as #rrggbb (or #rgb, with or without the sign);
// one that is neither is replaced by a common walnut.
func NewScheme(ground, grain string) Scheme {
	return Scheme{ground: hexOr(ground, fallbackGround), grain: hexOr(grain, fallbackGrain)}
}

// Ground is the ground coat's colour as #rrggbb.
func (s Scheme) Ground() string { return hexOr(s.ground, fallbackGround) }

// Grain is the grain coat's colour as #rrggbb.
func (s Scheme) Grain() string { return hexOr(s.grain, fallbackGrain) }

// id names the scheme's patterns within a page.
func (s Scheme) id() string { return "sw-" + s.Ground()[1:] + "-" + s.Grain()[1:] }

// hexOr normalises a colour to lower-case #rrggbb, or gives the fall-back. What
// passes here goes into attributes, so nothing but hex digits may pass.
func hexOr(colour, fallback string) string {
	c := strings.ToLower(strings.TrimPrefix(strings.TrimSpace(colour), "#"))
	if strings.Trim(c, "0123456789abcdef") != "" {
		return fallback
	}
	switch len(c) {
	case 3:
		return "#" + string([]byte{c[0], c[0], c[1], c[1], c[2], c[2]})
	case 6:
		return "#" + c
	}
	return fallback
}
