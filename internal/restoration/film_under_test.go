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
	const alone = ", then the base metal. How much may go is reckoned for clear alone."
	for want, layers := range map[string][]coating.LayerFilm{
		"No coat is logged on this piece, so nobody knows what lies under the paper.": nil,
		"By what is logged the paper meets primer 40 µm" + alone:                      {layer(coating.Primer, 40, 0)},
		"By what is logged the paper meets grain 2 µm, then ground 14 µm, then primer 32 µm" + alone: {
			layer(coating.Primer, 40, 8), layer(coating.Ground, 14, 0), layer(coating.Grain, 2, 0)},
		"By what is logged the paper meets ground 14 µm" + alone: {layer(coating.Filler, 0, 0), layer(coating.Ground, 14, 0), layer(coating.Grain, 2, 2)},
	} {
		require.Equal(t, want, UnderPaper(coating.Film{Layers: layers}, Metric))
	}
	require.Contains(t, UnderPaper(coating.Film{Layers: []coating.LayerFilm{layer(coating.Ground, 25.4, 0)}}, US), "ground 1.00 mil")
}
