package bench

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestEveryDefectHasItsOwnPicture(t *testing.T) {
	t.Parallel()
	draw := func(key string) string {
		var b strings.Builder
		require.NoError(t, defectPicture(key).Render(t.Context(), &b))
		return b.String()
	}
	require.Contains(t, draw(restoration.DefectOther), ">?</text>", "what is not on the list is asked")
	keys := []string{thinDefect}
	for _, d := range restoration.Defects() {
		if d.Key != restoration.DefectOther && d.Key != thinDefect {
			keys = append(keys, d.Key)
		}
	}
	drawn := map[string]string{}
	for _, key := range keys {
		picture := draw(key)
		require.NotContains(t, picture, ">?</text>", "%s has no drawing", key)
		require.Empty(t, drawn[picture], "%s looks like another", key)
		drawn[picture] = key
	}
}
