package bench

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPlacesStandTogether(t *testing.T) {
	t.Parallel()
	known := []string{"Rack 2, hook 10", "Shelf 3", "Rack 2, hook 2", "Booth", "Rack 10, hook 1", "Shelf 12", "Rack 10, hook 3", "Oven"}
	require.Equal(t, []placeGroup{
		{Title: "Rack 2", Places: []string{"Rack 2, hook 2", "Rack 2, hook 10"}, Open: true},
		{Title: "Rack 10", Places: []string{"Rack 10, hook 1", "Rack 10, hook 3"}, Open: true},
		{Title: "Shelf", Places: []string{"Shelf 3", "Shelf 12"}, Open: true},
		{Title: "Other places", Places: []string{"Booth"}, Open: true},
	}, placeGroups(known, "Oven"))
	require.Empty(t, placeGroups([]string{"Oven"}, "Oven"))
}

func TestManyPlacesAreAllReachable(t *testing.T) {
	t.Parallel()
	var known []string
	for i := range 60 {
		known = append(known, fmt.Sprintf("Rack %d, hook %d", 1+i/20, 1+i%20))
	}
	groups := placeGroups(known, "")
	var all []string
	for i, g := range groups {
		require.Equal(t, i == 0, g.Open)
		all = append(all, g.Places...)
	}
	require.Equal(t, known, all)
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
