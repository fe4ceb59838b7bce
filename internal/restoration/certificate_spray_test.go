package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func TestSprayLapses(t *testing.T) {
	t.Parallel()
	day := func(month time.Month, d int) time.Time { return time.Date(2026, month, d, 0, 0, 0, 0, time.UTC) }
	today := day(time.September, 4)
	of := func(person int64, kind string, until time.Time) Certificate {
		return Certificate{PersonID: person, Kind: kind, DoneOn: day(time.January, 1), ValidUntil: until}
	}
	const fit, training = "Respirator fit test", "Isocyanate training"
	for name, c := range map[string]struct {
		list []Certificate
		want []string
	}{
		"none on the list":            {nil, nil},
		"ran out yesterday":           {[]Certificate{of(1, fit, day(9, 3))}, []string{"Your respirator fit test ran out 3 Sep 2026: talk to the owner before you spray."}},
		"its last good day":           {[]Certificate{of(1, fit, today)}, []string{"Your respirator fit test runs out 4 Sep 2026."}},
		"30 days ahead":               {[]Certificate{of(1, fit, day(10, 4))}, []string{"Your respirator fit test runs out 4 Oct 2026."}},
		"31 days ahead":               {[]Certificate{of(1, fit, day(10, 5))}, nil},
		"another's":                   {[]Certificate{of(2, fit, day(9, 3))}, nil},
		"done again since":            {[]Certificate{of(1, fit, day(9, 3)), of(1, "respirator FIT test", day(12, 1))}, nil},
		"one that doesn't run out":    {[]Certificate{of(1, training, day(9, 3)), of(1, training, time.Time{})}, nil},
		"nothing to do with spraying": {[]Certificate{of(1, "Fork-lift licence", day(9, 3))}, nil},
		"what ran out comes first": {[]Certificate{of(1, training, day(9, 20)), of(1, fit, day(9, 1))}, []string{
			"Your respirator fit test ran out 1 Sep 2026: talk to the owner before you spray.", "Your isocyanate training runs out 20 Sep 2026."}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var got []string
			for _, l := range SprayLapses(c.list, 1, today) {
				got = append(got, l.Words())
			}
			require.Equal(t, c.want, got)
		})
	}
}

func TestSpraysIsocyanate(t *testing.T) {
	t.Parallel()
	cleared, grained := stockStage(t, LookCleared), stockStage(t, LookGrained)
	require.True(t, SpraysIsocyanate(cleared, nil), "by the stage's cautions")
	require.False(t, SpraysIsocyanate(grained, nil))
	require.False(t, SpraysIsocyanate(cleared, &Material{Material: coating.Material{Kind: coating.ClearLacquer}}), "by the material")
	require.True(t, SpraysIsocyanate(cleared, &Material{Material: coating.Material{Kind: coating.Clear2K}}), "perhaps the mark was forgotten")
	require.True(t, SpraysIsocyanate(grained, &Material{Material: coating.Material{Isocyanate: true}}))
}

func stockStage(t *testing.T, look Look) Stage {
	t.Helper()
	for _, s := range StockRoute().Stages {
		if s.Look == look {
			return s
		}
	}
	require.Fail(t, "no such stage", look)
	return Stage{}
}

func TestUsualCoats(t *testing.T) {
	t.Parallel()
	for kind, want := range map[coating.Kind]int{coating.EpoxyPrimer: 2, coating.HighBuild: 3, coating.Ground1K: 3, coating.Ground2K: 2,
		coating.GrainOil: 1, coating.Clear2K: 2} {
		require.Equal(t, want, Material{Material: coating.Material{Kind: kind}}.UsualCoats(), kind)
	}
}
