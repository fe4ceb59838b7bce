package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestCautionsAreReadByAPersonAtAStage(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	ctx := t.Context()
	before := h.clock.Now()
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared", time.Time{}))
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared", time.Time{}))
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cut", time.Time{}))
	seen, err := h.CautionsSeen(ctx, h.by.PersonID, before)
	require.NoError(t, err)
	require.Len(t, seen, 2)
	require.WithinDuration(t, before, seen["Cleared"], time.Hour)
	seen, err = h.CautionsSeen(ctx, h.by.PersonID, before.Add(48*time.Hour))
	require.NoError(t, err)
	require.Empty(t, seen, "not since then")
	seen, err = h.CautionsSeen(ctx, h.technician(t, "Tom").ID, before)
	require.NoError(t, err)
	require.Empty(t, seen, "each reads them for himself")
}

func TestCautionsHeardOfLateCountByTheHourTheyWereRead(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	ctx := t.Context()
	now := h.clock.Now()
	read := now.Add(-5 * time.Hour)
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared", read))
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cut", now.Add(-20*time.Second)))
	seen, err := h.CautionsSeen(ctx, h.by.PersonID, read.Add(-time.Hour))
	require.NoError(t, err)
	require.WithinDuration(t, read, seen["Cleared"], time.Millisecond)
	seen, err = h.CautionsSeen(ctx, h.by.PersonID, read.Add(time.Hour))
	require.NoError(t, err)
	require.NotContains(t, seen, "Cleared", "it was read before that")
	require.Contains(t, seen, "Cut")

	rows, err := h.Audit(ctx, restoration.AuditFilter{Acts: []restoration.Act{restoration.ActReadCautions}})
	require.NoError(t, err)
	require.Len(t, rows, 2)
	require.Empty(t, rows[0].After, "the network takes that long")
	require.Contains(t, rows[1].After, read.Format("2006-01-02T15:04:05"))
	require.WithinDuration(t, now, rows[1].At, time.Hour, "when it was heard of stands beside")
}
