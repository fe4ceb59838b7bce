package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestAuditNewestFirstAndInPages(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	for _, name := range []string{"Ada", "Bo", "Cy"} {
		h.technician(t, name)
	}
	var subjects []string
	var before int64
	for {
		page, err := h.Audit(ctx, restoration.AuditFilter{Limit: 2, Before: before})
		require.NoError(t, err)
		if len(page) == 0 {
			break
		}
		for _, r := range page {
			require.Equal(t, h.clock.Now(), r.At)
			subjects = append(subjects, r.Subject)
			before = r.ID
		}
	}
	require.Equal(t, []string{"Cy", "Bo", "Ada", "Olga Reuter"}, subjects)
}

func TestAuditOfOneCarOrPiece(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	one, two := h.start(t, "26-014", ""), h.start(t, "26-015", "")
	change := one.Details
	change.Note = "Look at the lower edge."
	require.NoError(t, h.EditPiece(ctx, h.by, one.ID, change, one.RouteID))

	rows, err := h.Audit(ctx, restoration.AuditFilter{PieceID: one.ID})
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	for _, r := range rows {
		require.Equal(t, one.ID, r.PieceID)
	}
	rows, err = h.Audit(ctx, restoration.AuditFilter{CarID: two.CarID})
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	for _, r := range rows {
		require.Equal(t, two.CarID, r.CarID)
	}
}

func TestAuditOfAnotherRoute(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p, plain := h.start(t, "26-014", ""), h.route(t, "Plain paint")
	require.NoError(t, h.EditPiece(ctx, h.by, p.ID, p.Details, plain.ID))
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.Contains(t, rows[0].Before, `"route": "Wood-grained steel"`)
	require.Contains(t, rows[0].After, `"route": "Plain paint"`)
	require.Equal(t, "26-014", rows[0].WorkOrder)

	p.Note = "Look at the lower edge."
	require.NoError(t, h.EditPiece(ctx, h.by, p.ID, p.Details, plain.ID))
	rows, err = h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.NotContains(t, rows[0].After, `"route"`, "only where it changes")
}
