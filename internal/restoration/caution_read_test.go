package restoration

import (
	"testing"
	"time"

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

func TestCautionReadAt(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct{ said, want time.Time }{
		"nothing said": {time.Time{}, now},
		"just now":     {now, now},
		"this morning": {now.Add(-6 * time.Hour), now.Add(-6 * time.Hour)},
		"last week":    {now.Add(-7 * 24 * time.Hour), now.Add(-7 * 24 * time.Hour)},
		"not yet":      {now.Add(time.Second), now},
	} {
		require.Equal(t, c.want, CautionReadAt(c.said, now), name)
	}
}
