package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func TestSchemeCautions(t *testing.T) {
	t.Parallel()
	materials := []Material{
		{ID: 1, Material: coating.Material{Kind: coating.EpoxyPrimer, Cautions: []string{"Not over acid."}}},
		{ID: 2, Material: coating.Material{Kind: coating.HighBuild, Isocyanate: true}},
		{ID: 3, Material: coating.Material{Kind: coating.Ground1K}},
		{ID: 4, Material: coating.Material{Kind: coating.GrainOil}},
	}
	with := func(m map[coating.Layer]int64) Scheme { return Scheme{Materials: m} }
	for name, c := range map[string]struct {
		look   Look
		scheme Scheme
		want   []string
	}{
		"both primers": {LookPrimed, with(map[coating.Layer]int64{coating.Primer: 1, coating.Filler: 2}), []string{"mist", "fire", "epoxy", "", "isocyanate"}},
		"filler not named, so not known": {LookPrimed, with(map[coating.Layer]int64{coating.Primer: 1}),
			[]string{"mist", "fire", "epoxy", "", "isocyanate-unsure"}},
		"one-part ground":          {LookGrounded, with(map[coating.Layer]int64{coating.Ground: 3}), []string{"mist", "fire"}},
		"one that is off the list": {LookGrounded, with(map[coating.Layer]int64{coating.Ground: 9}), []string{"mist", "isocyanate-unsure", "fire"}},
		"no finish agreed":         {LookCleared, Scheme{}, []string{"mist", "isocyanate-unsure", "fire"}},
		"grain":                    {LookGrained, with(map[coating.Layer]int64{coating.Grain: 4}), []string{"rags"}},
		"not sprayed":              {LookCut, with(map[coating.Layer]int64{coating.Clear: 2}), []string{"dust", "noise"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, keysOf(SchemeCautions(stockStage(t, c.look), c.scheme, materials)))
		})
	}
}
