package colour_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
)

// ASTM D523 and ISO 2813: the conditions of the published table, and their ends.
func TestGeometryPublished(t *testing.T) {
	t.Parallel()
	at := map[string][]float64{
		"value > 70":        {70.001, 84, 95, 200},
		"10 <= value <= 70": {10, 35, 70},
		"value < 10":        {0, 5, 9.999},
	}
	rows := published(t, "gloss_geometry.csv")
	require.Len(t, rows, len(at))
	for _, row := range rows {
		readings := at[row["condition_60deg_gu"]]
		require.NotEmpty(t, readings, row["condition_60deg_gu"])
		for _, gu := range readings {
			require.Equal(t, row["geometry_deg"], strconv.Itoa(colour.Geometry(gu)), "%g GU", gu)
		}
	}
}

// Full gloss begins at 70 GU in the published levels, where 20° takes over.
func TestGeometryOfPublishedLevels(t *testing.T) {
	t.Parallel()
	rows := published(t, "gloss_levels_mpi.csv")
	require.Len(t, rows, 7)
	for _, row := range rows[5:] {
		require.Equal(t, 20, colour.Geometry(number(t, row["gloss_60_min"])+0.1), "level %s", row["level"])
	}
}

func TestGlossWithin(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name            string
		target, reading colour.Gloss
		within          bool
		wrong           string
	}{
		{"the same", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: 85, Angle: 20}, true, ""},
		{"on the upper end", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: 90, Angle: 20}, true, ""},
		{"on the lower end", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: 80, Angle: 20}, true, ""},
		{"too dull", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: 79.9, Angle: 20}, false, ""},
		{"too bright", colour.Gloss{GU: 35, Angle: 60}, colour.Gloss{GU: 41, Angle: 60}, false, ""},
		{"another angle, same number", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: 85, Angle: 60}, false,
			"the gloss was read at 60° and is wanted at 20°: read it again at 20°"},
		{"no angle", colour.Gloss{GU: 85}, colour.Gloss{GU: 85}, false, "0° is no angle of a gloss meter: choose 20°, 60° or 85°"},
		{"negative", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: -1, Angle: 20}, false,
			"a gloss of -1 GU is out of range: it goes from 0 to 200 GU"},
		{"metal", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: 900, Angle: 20}, false,
			"a gloss of 900 GU is out of range: it goes from 0 to 200 GU"},
		{"no number", colour.Gloss{GU: 85, Angle: 20}, colour.Gloss{GU: math.NaN(), Angle: 20}, false,
			"a gloss of NaN GU is out of range: it goes from 0 to 200 GU"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			within, err := colour.GlossWithin(tt.target, tt.reading, colour.DefaultGlossTolerance)
			require.Equal(t, tt.within, within)
			if tt.wrong != "" {
				require.EqualError(t, err, tt.wrong)
				return
			}
			require.NoError(t, err)
		})
	}
}

func TestGlossWords(t *testing.T) {
	t.Parallel()
	require.Equal(t, "84.5 GU at 20°", colour.Gloss{GU: 84.5, Angle: 20}.String())
	for _, angle := range colour.Angles() {
		require.NoError(t, colour.Gloss{GU: 50, Angle: angle}.Check())
	}
}
