package restoration

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReferencesHoldToTheDigit(t *testing.T) {
	t.Parallel()
	list := References()
	require.GreaterOrEqual(t, len(list), 30)
	seen := map[string]bool{}
	for _, r := range list {
		require.Equal(t, r.Expect, r.Now(), "%s: %s", r.Name, r.Given)
		require.True(t, r.Holds())
		for _, said := range []string{r.Subject, r.Name, r.Formula, r.Source, r.Given, r.Expect} {
			require.NotEmpty(t, strings.TrimSpace(said), r.Name)
		}
		require.False(t, seen[r.Name], "%s stands twice", r.Name)
		seen[r.Name] = true
	}
}

// A formula that goes wrong is seen: neither a wrong digit nor a refusal holds.
func TestReferenceThatIsWrongDoesNotHold(t *testing.T) {
	t.Parallel()
	r := Reference{Expect: "31.2 µm", Now: func() string { return shown("%.1f µm")(31.14, nil) }}
	require.False(t, r.Holds())
	r.Now = func() string { return shown("%.1f µm")(0, Problemf(TroubleInvalid, "", "no")) }
	require.Equal(t, "no", r.Now())
	require.False(t, r.Holds())
}
