package bench

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestRightHour(t *testing.T) {
	t.Parallel()
	const day = 24 * time.Hour
	now := time.Date(2026, 3, 25, 9, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct{ clock, sent, want time.Time }{
		"right":                       {now.Add(-time.Hour), now, now.Add(-time.Hour)},
		"a slow network":              {now.Add(-time.Hour), now.Add(-clockSlack), now.Add(-time.Hour)},
		"two days behind, at once":    {now.Add(-2 * day), now.Add(-2 * day), now},
		"two days behind, an hour on": {now.Add(-2*day - time.Hour), now.Add(-2 * day), now.Add(-time.Hour)},
		"two days ahead":              {now.Add(2*day - time.Hour), now.Add(2 * day), now.Add(-time.Hour)},
		"does not say when it sends":  {now.Add(-3 * time.Hour), time.Time{}, now.Add(-3 * time.Hour)},
	} {
		require.Equal(t, c.want, rightHour(c.clock, c.sent, now), name)
	}
}

func TestATabletsClockTwoDaysOff(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	wrong := s.clock().Add(48 * time.Hour)
	stamp := func(at time.Time) string { return at.Format(time.RFC3339) }
	note := entryOf(s, "Ash tray", "note", map[string]any{"note": "n", "at": stamp(wrong), "clock": stamp(wrong)})
	s.pass(20 * time.Minute)
	got := answersOf(t, b.sendWith("/bench/events", batch(t, note), sentHeader, stamp(wrong.Add(20*time.Minute))))
	require.Equal(t, restoration.Applied, got[0].Outcome, got[0].Reason)
	s.pass(time.Hour)
	again := answersOf(t, b.sendWith("/bench/events", batch(t, note), sentHeader, stamp(wrong.Add(80*time.Minute+time.Second))))
	require.Equal(t, got, again, "sent again, its hour comes out a little otherwise: it is the same entry")

	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	require.Len(t, entries, 2)
	require.Equal(t, s.clock().Add(-80*time.Minute), entries[0].Event.At, "the shop's hour")
	require.Equal(t, wrong, entries[0].Event.Clock, "the tablet's")
}
