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

// What the trade's own table of check values gives for films, mixes, air, waits and paper.
func TestReferencesHoldTheCheckValues(t *testing.T) {
	t.Parallel()
	answers := map[string]bool{}
	for _, r := range References() {
		answers[r.Expect] = true
	}
	for _, want := range []string{
		"31.2 µm", "62.5 µm", "51.17 %", "40.91 %", "15.6 m²/L", "695 ft²/gal", "50.8 µm", "20 / 4", "600 / 150 / 150 mL", "600 / 200 / 80 mL",
		"600 / 200 / 60 mL", "1194 mL", "19.0 %", "75.2 % of the paint", "0.075 m²", "12.0 °C", "13.86 °C", "2.5 °C: not fit", "41.8 h", "18.4 h",
		"831 min, as stated; factor 3 per 10 °C", "104.3 µm, 54.3 may go", "σ 1.63 µm", "66.5 / 95.3 / 122.2 µm", "1.73: passes", "2.60: too far",
	} {
		require.True(t, answers[want], want)
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
