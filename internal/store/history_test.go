package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// What arrives late stands where it happened, and paging misses and repeats nothing.
func TestHistoryByTheHour(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	now := h.clock.Now()
	for _, minutes := range []int{-2, -60, -2, -90, -30} { // two at the same minute
		e := h.entry(restoration.KindNote, restoration.ID{})
		e.PieceID, e.Note, e.At = p.ID, "dust from the yard", now.Add(time.Duration(minutes)*time.Minute)
		h.mustEnter(t, e)
	}
	whole := h.history(t, restoration.HistoryFilter{PieceID: p.ID, ByHour: true})
	var notes []int
	for _, e := range whole {
		if e.Event.Kind == restoration.KindNote {
			notes = append(notes, int(e.Event.At.Sub(now).Minutes()))
		}
	}
	require.Equal(t, []int{-2, -2, -30, -60, -90}, notes)
	require.NotEqual(t, whole, h.history(t, restoration.HistoryFilter{PieceID: p.ID}), "as they arrived")

	require.Len(t, h.history(t, restoration.HistoryFilter{PieceID: p.ID, Kind: restoration.KindNote}), len(notes))
	require.Empty(t, h.history(t, restoration.HistoryFilter{PieceID: p.ID, Kind: restoration.KindSendBack}))

	var paged []restoration.Entry
	for of := (restoration.HistoryFilter{PieceID: p.ID, ByHour: true, Limit: 2}); ; {
		page := h.history(t, of)
		if len(page) == 0 {
			break
		}
		paged, of.Before = append(paged, page...), page[len(page)-1].Seq
	}
	require.Equal(t, whole, paged)
	for i, e := range whole[1:] {
		before := whole[i]
		require.True(t, e.Event.At.Before(before.Event.At) || e.Event.At.Equal(before.Event.At) && e.Seq < before.Seq, i)
	}
}
