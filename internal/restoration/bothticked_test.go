package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestBothTicked(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		script string
		pairs  int
	}{
		"two people, hours of both":    {"7 tick 1 at 0 with 60\n8 tick 1 at 5 with 45", 1},
		"the second without hours":     {"7 tick 1 at 0 with 60\n8 tick 1 at 5", 0},
		"the first without hours":      {"7 tick 1 at 0\n8 tick 1 at 5 with 45", 0},
		"one person twice":             {"7 tick 1 at 0 with 60\n7 tick 1 at 5 with 45", 0},
		"two steps":                    {"7 tick 1 at 0 with 60\n8 tick 2 at 5 with 45", 0},
		"three people":                 {"7 tick 1 at 0 with 60\n8 tick 1 at 5 with 45\n9 tick 1 at 6 with 45", 2},
		"taken back, then done anew":   {"7 tick 1 at 0 with 60\n7 untick 1 at 2 with 60\n8 tick 1 at 5 with 45", 0},
		"hours logged are not a tick":  {"7 tick 1 at 0 with 60\n8 log-time 1 at 5 with 45", 0},
		"ticked again after an untick": {"7 tick 1 at 0\n7 untick 1 at 2\n8 tick 1 at 5 with 45\n9 tick 1 at 9 with 30", 1},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newClockShop()
			s.play(t, c.script)
			both := BothTicked(s.entries)
			require.Len(t, both, c.pairs)
			for _, b := range both {
				require.NotEqual(t, b.First.Event.PersonID, b.Second.Event.PersonID)
				require.Contains(t, b.Second.Outcome.Reason, "ticked this already")
				require.Contains(t, b.Second.Outcome.Reason, "The hours of both count; the owner can correct them.")
			}
		})
	}
}
