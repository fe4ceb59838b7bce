package bench

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
)

// placesOpen is up to how many places stand open to be looked over; of more, the
// first group only.
const placesOpen = 24

// placeGroup is places that lie together, such as the hooks of a rack.
type placeGroup struct {
	Title  string
	Places []string
	Open   bool
}

// placeGroups sorts all places but the one where the piece lies: by what their names
// say before the last comma or number, hook 2 before hook 10. Those that stand alone
// come last.
func placeGroups(known []string, but string) []placeGroup {
	places := slices.DeleteFunc(slices.Clone(known), func(p string) bool { return p == but })
	slices.SortFunc(places, natural)
	var groups []placeGroup
	for _, p := range places {
		title := groupOf(p)
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
