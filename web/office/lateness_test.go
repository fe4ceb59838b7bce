package office

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// The sum of a car counts what is promised before it, too.
func TestSumBesideThePromise(t *testing.T) {
	t.Parallel()
	cal := restoration.StockSettings().Calendar
	day := cal.Days[noon.Weekday()].Minutes()
	first := restoration.Car{ID: 1, State: restoration.CarInWork, PromisedOn: noon.AddDate(0, 0, -3).Truncate(24 * time.Hour)}
	second := restoration.Car{ID: 2, State: restoration.CarInWork, PromisedOn: noon.AddDate(0, 0, 30).Truncate(24 * time.Hour)}
	rolls := []restoration.CarRoll{{Car: first, Roll: restoration.Roll{Left: 60}}, {Car: second, Roll: restoration.Roll{Left: 2 * day}}}
	d := newDates(rolls, 2, cal, noon, noon.Location())
	require.Equal(t, "1 h are left on it; 2 pairs of hands work until Fri 27 Mar 2026, waits not counted; promised for Tue 24 Mar 2026.", d.sum(first, 60))
	require.Contains(t, d.sum(second, 2*day), hoursOf(2*day)+" are left on it, "+hoursOf(2*day+60)+" on the 2 cars promised by then")
	require.Empty(t, d.sum(restoration.Car{}, 60), "nothing is promised")
	require.Empty(t, d.sum(first, 0), "nothing is left")
}
