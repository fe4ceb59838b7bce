package bench

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

func TestPlacesStandTogether(t *testing.T) {
	t.Parallel()
	known := []string{"Rack 2, hook 10", "Shelf 3", "Rack 2, hook 2", "Booth", "Rack 10, hook 1", "Shelf 12", "Rack 10, hook 3", "Oven"}
	require.Equal(t, []placeGroup{
		{Title: "Rack 2", Places: offersOf("Rack 2, hook 2", "Rack 2, hook 10"), Open: true},
		{Title: "Rack 10", Places: offersOf("Rack 10, hook 1", "Rack 10, hook 3"), Open: true},
		{Title: "Shelf", Places: offersOf("Shelf 3", "Shelf 12"), Open: true},
		{Title: "Other places", Places: offersOf("Booth"), Open: true},
	}, placeGroups(offersOf(known...), "Oven"))
	require.Empty(t, placeGroups(offersOf("Oven"), "Oven"))
}

func TestManyPlacesAreAllReachable(t *testing.T) {
	t.Parallel()
	var known []string
	for i := range 60 {
		known = append(known, fmt.Sprintf("Rack %d, hook %d", 1+i/20, 1+i%20))
	}
	groups := placeGroups(offersOf(known...), "")
	var all []placeOffer
	for i, g := range groups {
		require.Equal(t, i == 0, g.Open)
		all = append(all, g.Places...)
	}
	require.Equal(t, offersOf(known...), all)
}

func offersOf(names ...string) []placeOffer {
	var list []placeOffer
	for _, n := range names {
		list = append(list, placeOffer{Name: n})
	}
	return list
}

// What held the kind well comes first with that word, then what is used most; a full one
// says so, and a name that is no place can be chosen as before.
func TestMoveOffers(t *testing.T) {
	t.Parallel()
	use := func(name string, holds, lying, moves int) restoration.PlaceUse {
		return restoration.PlaceUse{Place: restoration.Place{ID: int64(holds), Name: name, Holds: holds}, Lying: lying, Moves: moves}
	}
	choices := []restoration.PlaceChoice{
		{PlaceUse: use("Jig", 1, 1, 0), Fit: &restoration.PlaceFit{Well: true}},
		{PlaceUse: use("Rack A", 8, 3, 5)}, {PlaceUse: use("Rack B", 0, 1, 0)},
		{PlaceUse: use("Rail", 4, 0, 9), Fit: &restoration.PlaceFit{}},
	}
	require.Equal(t, []placeGroup{
		{Title: "Holds its kind well", Places: []placeOffer{{Name: "Jig", Says: "holds it well, 1 of 1, full"}}, Open: true},
		{Title: "Used most", Places: []placeOffer{{Name: "Rack A", Says: "3 of 8"}}, Open: true},
		{Title: "Other places", Places: []placeOffer{{Name: "Attic"}, {Name: "Rack B", Says: "1 piece"}, {Name: "Rail", Says: "holds it badly, 0 of 4"}}, Open: true},
	}, moveOffers(choices, []string{"rack a", "Attic", "Here"}, "here"))
}

// The order is one: it is no other way round, and nothing is lost.
func TestNaturalIsAnOrder(t *testing.T) {
	t.Parallel()
	name := rapid.StringMatching(`[a-b ,]{0,2}[0-9]{0,3}[a-b]{0,1}[0-9]{0,2}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := name.Draw(t, "a"), name.Draw(t, "b"), name.Draw(t, "c")
		if natural(a, b) != -natural(b, a) || (natural(a, b) == 0) != (a == b) {
			t.Fatalf("%q %q", a, b)
		}
		three := []string{a, b, c}
		slices.SortFunc(three, natural)
		if natural(three[0], three[2]) > 0 {
			t.Fatalf("%q", three)
		}
	})
}
