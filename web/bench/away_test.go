package bench

import (
	"context"
	"net/http"
	"net/url"
	"sync/atomic"
	"testing"

	"github.com/alexedwards/scs/v2"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// awayShop is a shop whose database can be sent away.
type awayShop struct {
	Shop
	scs.Store
	away atomic.Bool
}

var errAway = restoration.Problemf(restoration.TroubleUnavailable, "", "The database can't be reached just now.")

func (s *awayShop) Enter(ctx context.Context, events []restoration.Event) ([]restoration.Outcome, error) {
	if s.away.Load() {
		return nil, errAway
	}
	return s.Shop.Enter(ctx, events)
}

func (s *awayShop) Find(token string) ([]byte, bool, error) {
	if s.away.Load() {
		return nil, false, errAway
	}
	return s.Store.Find(token)
}

// enterAway lets the session through and fails at the ledger.
type enterAway struct{ *awayShop }

func (s enterAway) Find(token string) ([]byte, bool, error) { return s.Store.Find(token) }

func TestDatabaseAwayLosesNothingTyped(t *testing.T) {
	t.Parallel()
	for name, sessions := range map[string]func(*awayShop) scs.Store{
		"at the session": func(a *awayShop) scs.Store { return a },
		"at the ledger":  func(a *awayShop) scs.Store { return enterAway{a} },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setup(t)
			shop := &awayShop{Shop: s.store, Store: s.store.Sessions()}
			s.serve(shop, sessions(shop))
			b := s.signIn(s.ada)
			path := piecePath(s.pieces["Ash tray"].ID)
			form := formOf(t, b.get(path+"/note").body, path+"/note", url.Values{"note": {"Reverse <b>pitted</b>"}})

			shop.away.Store(true)
			got := b.post(path+"/note", form)
			require.Equal(t, http.StatusServiceUnavailable, got.status)
			require.Contains(t, got.body, "nothing is lost")
			require.Contains(t, got.body, `value="Reverse &lt;b&gt;pitted&lt;/b&gt;"`)
			script := b.send("/bench/events", batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"})))
			require.Equal(t, http.StatusServiceUnavailable, script.status)
			require.Equal(t, "application/problem+json", script.header.Get("Content-Type"))

			shop.away.Store(false)
			require.Equal(t, path, b.post(path+"/note", formOf(t, got.body, path+"/note", nil)).path, "it comes back by itself")
		})
	}
}
