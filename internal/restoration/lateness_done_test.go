package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The stock week is that of the settings that ship: the hours of a day are read from it.
func TestDoneBy(t *testing.T) {
	t.Parallel()
	cal := StockSettings().Calendar
	monday := time.Date(2026, 3, 23, 0, 0, 0, 0, time.UTC)
	day := cal.Days[time.Monday].Minutes()
	for name, tc := range map[string]struct {
		work  Minutes
		hands int
		want  time.Time
	}{
		"nothing left":       {0, 1, monday},
		"the whole day":      {day, 1, monday},
		"a minute more":      {day + 1, 1, monday.AddDate(0, 0, 1)},
		"three pairs":        {3 * day, 3, monday},
		"no hands count one": {day + 1, 0, monday.AddDate(0, 0, 1)},
		"over the week-end":  {5*day + 1, 1, monday.AddDate(0, 0, 7)},
		"beyond three years": {1 << 40, 1, time.Time{}},
	} {
		require.Equal(t, tc.want, DoneBy(tc.work, tc.hands, cal, monday, time.UTC), name)
	}
	require.Zero(t, DoneBy(1, 1, Calendar{}, monday, time.UTC), "a shop that never opens")
}
