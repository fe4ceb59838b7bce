package bench

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"scumble/internal/restoration"
)

// placesOpen is up to how many places stand open to be looked over; of more, the
// first group only.
const placesOpen = 24

// placeOffer is a place to choose, with what is known of it in a few words.
type placeOffer struct{ Name, Says, Href string }

// placeGroup is places that lie together, such as the hooks of a rack.
type placeGroup struct {
	Title  string
	Places []placeOffer
	Open   bool
}

// oftenShown is how many of the places that are used most stand on top.
const oftenShown = 6

// moveOffers are the places for a piece: those that held its kind well, those that are
// used most, and then all others by their names. known are names in use, places or not.
func moveOffers(choices []restoration.PlaceChoice, known []string, at string) []placeGroup {
	var well, often, rest []placeOffer
	named := map[string]bool{strings.ToLower(at): true}
	for _, c := range choices {
		named[strings.ToLower(c.Name)] = true
		offer := placeOffer{Name: c.Name, Says: c.Fullness(c.Lying)}
		if c.Fit != nil {
			offer.Says = c.Fit.Words() + ", " + offer.Says
		}
		switch {
		case c.Fit != nil && c.Fit.Well:
			well = append(well, offer)
		case c.Fit == nil && c.Moves > 0 && len(often) < oftenShown:
			often = append(often, offer)
		default:
			rest = append(rest, offer)
		}
	}
	for _, name := range known {
		if !named[strings.ToLower(name)] {
			rest = append(rest, placeOffer{Name: name})
		}
	}
	var groups []placeGroup
	for _, g := range []placeGroup{{"Holds its kind well", well, true}, {"Used most", often, true}} {
		if len(g.Places) > 0 {
			groups = append(groups, g)
		}
	}
	others := placeGroups(rest, at)
	if len(groups) > 0 && len(rest) > placesOpen {
		others[0].Open = false
	}
	return append(groups, others...)
}

// placeGroups sorts all places but the one where the piece lies: by what their names
// say before the last comma or number, hook 2 before hook 10. Those that stand alone
// come last.
func placeGroups(known []placeOffer, but string) []placeGroup {
	places := slices.DeleteFunc(slices.Clone(known), func(p placeOffer) bool { return p.Name == but })
	slices.SortFunc(places, func(a, b placeOffer) int { return natural(a.Name, b.Name) })
	var groups []placeGroup
	for _, p := range places {
		title := groupOf(p.Name)
		i := slices.IndexFunc(groups, func(g placeGroup) bool { return g.Title == title })
		if i < 0 {
			i = len(groups)
			groups = append(groups, placeGroup{Title: title})
		}
		groups[i].Places = append(groups[i].Places, p)
	}
	groups = gatherSingles(groups)
	for i := range groups {
		groups[i].Open = i == 0 || len(places) <= placesOpen
	}
	return groups
}

func gatherSingles(groups []placeGroup) []placeGroup {
	var many []placeGroup
	single := placeGroup{Title: "Other places"}
	for _, g := range groups {
		if len(g.Places) == 1 {
			single.Places = append(single.Places, g.Places[0])
		} else {
			many = append(many, g)
		}
	}
	if len(single.Places) > 0 {
		many = append(many, single)
	}
	return many
}

func groupOf(place string) string {
	if i := strings.LastIndex(place, ","); i > 0 {
		return strings.TrimSpace(place[:i])
	}
	return strings.TrimSpace(strings.TrimRightFunc(place, unicode.IsDigit))
}

// natural compares names as a person would: numbers in them by their size.
func natural(a, b string) int {
	restA, restB := a, b
	for restA != "" && restB != "" {
		var headA, headB string
		headA, restA = headOf(restA)
		headB, restB = headOf(restB)
		order := cmp.Compare(headA, headB)
		if isDigit(headA[0]) && isDigit(headB[0]) {
			trimmedA, trimmedB := strings.TrimLeft(headA, "0"), strings.TrimLeft(headB, "0")
			order = cmp.Or(cmp.Compare(len(trimmedA), len(trimmedB)), cmp.Compare(trimmedA, trimmedB))
		}
		if order != 0 {
			return order
		}
	}
	return cmp.Or(cmp.Compare(restA, restB), cmp.Compare(a, b))
}

// headOf splits the run of digits, or of what is none, off the start of s.
func headOf(s string) (head, rest string) {
	i := 1
	for i < len(s) && isDigit(s[i]) == isDigit(s[0]) {
		i++
	}
	return s[:i], s[i:]
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
