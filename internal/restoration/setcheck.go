package restoration

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Finding is something about the set of a car's pieces that nobody has explained.
type Finding struct {
	PieceID ID
	Piece   string // title
	Text    string
}

// SetCheck looks at every piece next to a grained one: it must be grained too and
// in the same scheme, or somebody has said why not. Pieces of one set must share
// one scheme likewise. Neighbours are pieces that follow one another in a zone and
// on a side. Removed pieces are left out.
func SetCheck(pieces []Piece, routes map[int64]Route) []Finding {
	here := slices.DeleteFunc(slices.Clone(pieces), func(p Piece) bool { return !p.Removed.IsZero() })
	slices.SortStableFunc(here, func(a, b Piece) int {
		return cmp.Or(
			cmp.Compare(slices.Index(Zones(), a.Zone), slices.Index(Zones(), b.Zone)),
			cmp.Compare(a.Side, b.Side), cmp.Compare(a.Order, b.Order), cmp.Compare(a.Name, b.Name))
	})
	var found []Finding
	seen := map[ID]bool{}
	report := func(p Piece, format string, args ...any) {
		if p.SchemeReason == "" && !seen[p.ID] {
			seen[p.ID] = true
			found = append(found, Finding{p.ID, p.Title(), fmt.Sprintf(format, args...)})
		}
	}
	for i := 1; i < len(here); i++ {
		checkNeighbours(here[i-1], here[i], routes, report)
	}
	checkSets(here, report)
	return found
}

func checkNeighbours(a, b Piece, routes map[int64]Route, report func(Piece, string, ...any)) {
	if a.Zone != b.Zone || a.Side != b.Side || a.Zone == ZoneLoose {
		return
	}
	aGrained, bGrained := routes[a.RouteID].Grains(), routes[b.RouteID].Grains()
	switch {
	case aGrained && !bGrained:
		report(b, "not grained, though it stands beside %s, which is", a.Title())
	case bGrained && !aGrained:
		report(a, "not grained, though it stands beside %s, which is", b.Title())
	case aGrained && bGrained && !sameScheme(a, b) && a.SchemeReason == "":
		report(b, "in %s, but its neighbour %s is in %s", scheme(b), a.Title(), scheme(a))
	}
}

// checkSets reports the pieces of a set that are not in the scheme of most of it.
func checkSets(pieces []Piece, report func(Piece, string, ...any)) {
	counts := map[string]map[string]int{}
	for _, p := range pieces {
		if p.Set == "" {
			continue
		}
		if counts[p.Set] == nil {
			counts[p.Set] = map[string]int{}
		}
		counts[p.Set][strings.ToLower(p.Scheme)]++
	}
	for _, p := range pieces {
		schemes := counts[p.Set]
		most := ""
		for s, n := range schemes {
			if n > schemes[most] || n == schemes[most] && s < most {
				most = s
			}
		}
		if p.Set != "" && strings.ToLower(p.Scheme) != most {
			report(p, "in %s, but the rest of its set %s is not", scheme(p), p.Set)
		}
	}
}

func sameScheme(a, b Piece) bool { return strings.EqualFold(a.Scheme, b.Scheme) }

func scheme(p Piece) string {
	if p.Scheme == "" {
		return "the car's scheme"
	}
	return "the scheme " + p.Scheme
}
