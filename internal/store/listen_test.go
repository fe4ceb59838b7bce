package store_test

import (
	"context"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// next waits for a change, which must come.
func next(t testing.TB, changes <-chan restoration.Change) restoration.Change {
	t.Helper()
	select {
	case c, ok := <-changes:
		require.True(t, ok, "the channel is closed")
		require.NotEmpty(t, c.Mark)
		c.Mark = ""
		return c
	case <-time.After(10 * time.Second):
		require.Fail(t, "no change came")
		return restoration.Change{}
	}
}

func TestChangesOfAnotherProgramAreHeard(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := house{Store: storetest.Open(t, url, store.Options{}), clock: &handClock{now: time.Now()}}
	other := storetest.Open(t, url, store.Options{})
	p := h.onePiece(t, "26-014")
	ctx, cancel := context.WithCancel(t.Context())
	changes, err := other.Changes(ctx, "")
	require.NoError(t, err)
	require.Equal(t, restoration.Change{}, next(t, changes), "look: listening has begun")

	h.mustEnter(t, h.tick(p.Steps[0], 15))
	heard := next(t, changes)
	entry := h.history(t, restoration.HistoryFilter{Limit: 1})[0]
	require.Equal(t, restoration.Change{Seq: entry.Seq, CarID: p.CarID, PieceID: p.ID, Kind: restoration.KindTick}, heard)

	late, err := other.Changes(ctx, "")
	require.NoError(t, err)
	require.Equal(t, restoration.Change{}, next(t, late), "a later reader is told at once that it listens")
	h.car(t, "26-015", "1936 Brennick Eight", "", "Ash tray")
	require.Zero(t, next(t, changes).Seq, "the office's changes have no number")

	cancel()
	require.Eventually(t, func() bool {
		select {
		case _, open := <-changes:
			return !open
		default:
			return false
		}
	}, 10*time.Second, time.Millisecond)
}

// Every page that shows what changes is a reader, and a shop's server runs for months.
func TestNothingIsKeptOfAReaderThatHasGone(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	type request struct{ path string }
	freed := make(chan struct{})
	func() {
		of := &request{"/bench/live"}
		runtime.AddCleanup(of, func(freed chan struct{}) { close(freed) }, freed)
		ctx, cancel := context.WithCancel(context.WithValue(t.Context(), request{}, of))
		changes, err := h.Changes(ctx, "")
		require.NoError(t, err)
		cancel()
		for range changes { // until it is closed
		}
	}()
	require.Eventually(t, func() bool {
		runtime.GC()
		select {
		case <-freed:
			return true
		default:
			return false
		}
	}, 10*time.Second, time.Millisecond)
}

func TestChangesAfterACut(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := house{Store: storetest.Open(t, url, store.Options{}), clock: &handClock{now: time.Now()}}
	p := h.onePiece(t, "26-014")
	changes, err := h.Changes(t.Context(), "")
	require.NoError(t, err)
	require.Zero(t, next(t, changes).Seq)
	super := storetest.Superuser(t, url)
	_, err = super.Exec(t.Context(), `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN%' AND datname = current_database()`)
	require.NoError(t, err)
	require.Zero(t, next(t, changes).Seq, "look again: something may have been missed")
	h.mustEnter(t, h.tick(p.Steps[0], 15))
	require.Equal(t, restoration.KindTick, next(t, changes).Kind)
}

func TestAReaderThatLagsIsToldToLookAgain(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := house{Store: storetest.Open(t, url, store.Options{}), clock: &handClock{now: time.Now()}}
	slow, err := h.Changes(t.Context(), "")
	require.NoError(t, err)
	quick, err := h.Changes(t.Context(), "")
	require.NoError(t, err)
	require.Zero(t, next(t, quick).Seq)
	p := h.onePiece(t, "26-014")
	next(t, quick)
	const many = 100 // more than a reader may lag behind
	for range many {
		e := h.entry(restoration.KindNote, restoration.ID{})
		e.PieceID, e.Note = p.ID, "dry"
		h.mustEnter(t, e)
		next(t, quick)
	}
	var heard []restoration.Change
	for len(slow) > 0 {
		heard = append(heard, <-slow)
	}
	require.Zero(t, heard[0].Seq)
	require.Less(t, len(heard), many)
	last := h.history(t, restoration.HistoryFilter{Limit: 1})[0].Seq
	require.Equal(t, last, heard[len(heard)-1].Seq)
}

func TestCloseEndsChanges(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	changes, err := s.Changes(t.Context(), "")
	require.NoError(t, err)
	next(t, changes)
	s.Close()
	_, open := <-changes
	require.False(t, open)
}
