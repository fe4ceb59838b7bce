package restoration_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestUndoForThirtyDays(t *testing.T) {
	t.Parallel()
	taken := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		at, now time.Time
		want    bool
	}{
		"at once":               {taken, taken, true},
		"a second before":       {taken, taken.AddDate(0, 0, 30).Add(-time.Second), true},
		"thirty days later":     {taken, taken.AddDate(0, 0, 30), false},
		"what was never taken":  {time.Time{}, taken, false},
		"across a month of 28":  {time.Date(2026, 2, 10, 8, 0, 0, 0, time.UTC), time.Date(2026, 3, 12, 7, 59, 0, 0, time.UTC), true},
		"and a minute too late": {time.Date(2026, 2, 10, 8, 0, 0, 0, time.UTC), time.Date(2026, 3, 12, 8, 0, 0, 0, time.UTC), false},
	} {
		require.Equal(t, c.want, restoration.MayUndo(c.at, c.now), name)
	}
}
