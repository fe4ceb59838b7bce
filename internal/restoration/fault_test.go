package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFaultsAreNamedInTheShopsUnits(t *testing.T) {
	t.Parallel()
	for _, k := range FaultKinds() {
		require.NotRegexp(t, `\d (c?m²|mm)`, k.Words(US), k.Key)
		require.NotRegexp(t, `\d (ft²|in²?)\b`, k.Words(Metric), k.Key)
	}
	require.Equal(t, "dent under 1.2 in", FaultKinds()[3].Words(US))
}
