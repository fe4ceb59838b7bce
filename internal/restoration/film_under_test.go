package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func TestWhatLiesUnderThePaper(t *testing.T) {
	t.Parallel()
	layer := func(l coating.Layer, on, cut float64) coating.LayerFilm {
		left := coating.Exactly(on).Minus(coating.Exactly(cut)).NotBelow(0)
		return coating.LayerFilm{Layer: l, On: coating.Exactly(on), Cut: coating.Exactly(cut), Left: left}
	}
	const alone = "; then the base metal. How much may go is reckoned for clear alone."
	for want, layers := range map[string][]coating.LayerFilm{
		"No coat is logged on this piece, so nobody knows what lies under the paper.": nil,
		"The paper meets primer, about 40 µm by its coats" + alone:                    {layer(coating.Primer, 40, 0)},
		"The paper meets grain, about 2 µm by its coats; below it ground, about 14 µm; primer, about 32 µm" + alone: {
			layer(coating.Primer, 40, 8), layer(coating.Ground, 14, 0), layer(coating.Grain, 2, 0)},
		"The paper meets ground, about 14 µm by its coats" + alone: {layer(coating.Filler, 0, 0), layer(coating.Ground, 14, 0), layer(coating.Grain, 2, 2)},
	} {
		require.Equal(t, want, UnderPaper(coating.Film{Layers: layers}, Metric))
	}
	require.Contains(t, UnderPaper(coating.Film{Layers: []coating.LayerFilm{layer(coating.Ground, 25.4, 0)}}, US), "ground, about 1.00 mil by")
}
