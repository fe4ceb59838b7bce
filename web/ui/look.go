package ui

import "strings"

// Look is how a piece looks at a stage; it picks the swatch.
type Look string

// The looks, in the order of the work.
const (
	LookBare     Look = "bare" // as it came in, the old finish still on
	LookStripped Look = "stripped"
	LookRepaired Look = "repaired"
	LookPrimed   Look = "primed"
	LookBlocked  Look = "blocked"
	LookGrounded Look = "grounded"
	LookGrained  Look = "grained"
	LookCleared  Look = "cleared"
	LookCut      Look = "cut"
	LookFitted   Look = "fitted"
	LookOther    Look = "other" // a shop's own stage
)

// Looks lists every look in the order of the work.
func Looks() []Look {
	return []Look{
		LookBare, LookStripped, LookRepaired, LookPrimed, LookBlocked, LookGrounded,
		LookGrained, LookCleared, LookCut, LookFitted, LookOther,
	}
}

// Word is the plain name that stands beside the swatch.
func (l Look) Word() string {
	switch l {
	case LookBare:
		return "as it came in"
	case LookOther:
		return "another stage"
	}
	if l.known() {
		return string(l)
	}
	return "another stage"
}

// Letter carries the look on paper printed without colour. No two looks share one.
func (l Look) Letter() string {
	switch l {
	case LookBare:
		return "A"
	case LookStripped:
		return "S"
	case LookRepaired:
		return "R"
	case LookPrimed:
		return "P"
	case LookBlocked:
		return "B"
	case LookGrounded:
		return "G"
	case LookGrained:
		return "N"
	case LookCleared:
		return "C"
	case LookCut:
		return "U"
	case LookFitted:
		return "F"
	default:
		return "O"
	}
}

// LookFor finds the look of a stage by its name, in any case; a name that is
// none of the stock stages gets LookOther, an empty one LookBare.
func LookFor(stage string) Look {
	name := Look(strings.ToLower(strings.TrimSpace(stage)))
	if name == "" {
		return LookBare
	}
	if name.known() {
		return name
	}
	return LookOther
}

func (l Look) known() bool {
	for _, k := range Looks() {
		if l == k {
			return true
		}
	}
	return false
}

// drawn is the look whose patterns exist.
func (l Look) drawn() Look {
	if l.known() {
		return l
	}
	return LookOther
}

// word is the caller's word or the look's own.
func (l Look) word(given string) string {
	if given != "" {
		return given
	}
	return l.Word()
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
