package store_test

import (
	"context"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/stretchr/testify/require"

	"scumble/internal/store/storetest"
)

func TestSessions(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	sessions, ok := storetest.New(t).Sessions().(scs.CtxStore)
	require.True(t, ok, "a session ends with its request")
	find := func(token string) string {
		data, found, err := sessions.FindCtx(ctx, token)
		require.NoError(t, err)
		require.Equal(t, found, data != nil)
		return string(data)
	}
	require.Empty(t, find("a"))
	require.NoError(t, sessions.CommitCtx(ctx, "a", []byte("one"), time.Now().Add(time.Hour)))
	require.NoError(t, sessions.CommitCtx(ctx, "a", []byte("two"), time.Now().Add(time.Hour)))
	require.NoError(t, sessions.CommitCtx(ctx, "old", []byte("x"), time.Now().Add(-time.Second)))
	require.Equal(t, "two", find("a"))
	require.Empty(t, find("old"))
	require.NoError(t, sessions.DeleteCtx(ctx, "a"))
	require.NoError(t, sessions.DeleteCtx(ctx, "a"))
	require.Empty(t, find("a"))
	ended, cancel := context.WithCancel(ctx)
	cancel()
	_, _, err := sessions.FindCtx(ended, "a")
	require.ErrorIs(t, err, context.Canceled)
}
