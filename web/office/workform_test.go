package office

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestLabour(t *testing.T) {
	t.Parallel()
	minutes := func(m restoration.Minutes) *restoration.Minutes { return &m }
	for name, tc := range map[string]struct {
		typed string
		want  *restoration.Minutes
		wrong bool
	}{
		"quarter hours": {"1.75", minutes(105), false},
		"comma":         {"1,5", minutes(90), false},
		"nought":        {"0", minutes(0), false},
		"empty":         {" ", nil, false},
		"negative":      {"-1", nil, true},
		"beyond a life": {"1e9", nil, true},
		"no number":     {"NaN", nil, true},
		"infinite":      {"Inf", nil, true},
		"word":          {"two", nil, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: url.Values{"hours": {tc.typed}}}
			require.Equal(t, tc.want, f.labour("hours"))
			require.Equal(t, tc.wrong, f.error("hours") != "")
		})
	}
}

func TestAreaRoundTrip(t *testing.T) {
	t.Parallel()
	for _, u := range []unit{inM2, inFT2} {
		for _, m2 := range []float64{0.0125, 0.2, 1, 12.5} {
			f := &form{values: url.Values{"area": {u.typedStated(m2)}}}
			require.InDelta(t, m2, f.area("area", u, 0), 1e-4, u.word)
			require.InDelta(t, m2, f.area("area", u, m2), 0, "what stands as it was shown is kept as it was: %s", u.word)
			require.True(t, f.ok())
		}
	}
	require.InDelta(t, 0.0929, (&form{values: url.Values{"area": {"1"}}}).area("area", inFT2, 0.2), 1e-4, "1 ft²")
	require.Zero(t, (&form{values: url.Values{}}).area("area", inFT2, 0.2), "an emptied field")
	require.Empty(t, inM2.typedStated(0))
}

func TestGradeBounds(t *testing.T) {
	t.Parallel()
	for typed, ok := range map[string]bool{"": true, "0": true, "6": true, "7": false, "-1": false, "x": false} {
		f := &form{values: url.Values{"grade": {typed}}}
		f.grade("grade")
		require.Equal(t, ok, f.ok(), typed)
	}
}
