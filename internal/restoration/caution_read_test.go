package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func TestCautionSubject(t *testing.T) {
	t.Parallel()
	of := func(kind coating.Kind, isocyanate bool) *Material {
		return &Material{Material: coating.Material{Kind: kind, Isocyanate: isocyanate}}
	}
	cleared := Stage{Name: "Cleared"}
	require.Equal(t, "Cleared", CautionSubject(cleared, nil))
	require.Equal(t, "Cleared, 2K clear, isocyanate", CautionSubject(cleared, of(coating.Clear2K, true)))
	require.Equal(t, "Cleared, lacquer clear", CautionSubject(cleared, of(coating.ClearLacquer, false)))
	twoParts := of(coating.OtherKind, false)
	twoParts.Parts = make([]coating.PartSheet, 2)
	require.Equal(t, "Cleared, other, perhaps isocyanate", CautionSubject(cleared, twoParts), "what is shown differs, so what was read does")
	require.NotEqual(t, CautionSubject(cleared, of(coating.OtherKind, true)), CautionSubject(cleared, of(coating.OtherKind, false)))
}
