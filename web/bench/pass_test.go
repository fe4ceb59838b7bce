package bench

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

// passOn reads the pass that a page gives to its script.
func (b *browser) passOn(path string) string {
	b.t.Helper()
	_, rest, found := strings.Cut(b.get(path).body, `data-pass="`)
	require.True(b.t, found)
	pass, _, _ := strings.Cut(rest, `"`)
	return pass
}

// sendWith is send with headers, given as name and value.
func (b *browser) sendWith(path, body string, header ...string) page {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.shop.server.URL+path, strings.NewReader(body))
	require.NoError(b.t, err)
	r.Header.Set("Content-Type", "application/json")
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	res, err := b.client.Do(r)
	require.NoError(b.t, err)
	return b.read(res)
}

func TestAPassEntersUnderItsPersonAfterThem(t *testing.T) {
	t.Parallel()
	s := setup(t)
	ada := s.signIn(s.ada)
	pass := ada.passOn("/bench")
	require.NotEmpty(t, pass)
	require.Equal(t, pass, ada.passOn("/bench/hand"), "one for a session")
	ada.post("/bench/signout", nil)
	note := entryOf(s, "Ash tray", "note", map[string]any{"note": "of Ada"})
	require.Equal(t, http.StatusUnauthorized, ada.send("/bench/events", batch(t, note)).status)
	got := answersOf(t, ada.sendWith("/bench/events?say=1", batch(t, note), passHeader, pass))
	require.Equal(t, restoration.Applied, got[0].Outcome)

	ben := s.signIn(s.ben)
	require.NotEqual(t, pass, ben.passOn("/bench"))
	mine := entryOf(s, "Ash tray", "note", map[string]any{"note": "of Ada, while Ben is signed in"})
	answersOf(t, ben.sendWith("/bench/events?say=1", batch(t, mine), passHeader, pass))
	require.NotContains(t, ben.get("/bench").body, "Saved", "nobody is told of another's entry")
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	for _, e := range entries[:2] {
		require.Equal(t, s.ada.ID, e.Event.PersonID, e.Event.Note)
	}
	require.Equal(t, "/bench/people", s.open(true).get("/bench").path, "a pass opens no page")
}

func TestAPassIsWorthNothing(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(s *testShop, b *browser) *browser
		status int
	}{
		"made up": {func(_ *testShop, b *browser) *browser { return b }, http.StatusUnauthorized},
		"on another tablet": {func(s *testShop, _ *browser) *browser {
			_, s.token = s.tablet("Booth")
			return s.open(true)
		}, http.StatusUnauthorized},
		"on a tablet that is shut out": {func(s *testShop, b *browser) *browser {
			require.NoError(s.t, s.store.RevokeDevice(s.t.Context(), s.owner, s.device.ID))
			return b
		}, http.StatusUnauthorized},
		"without a tablet": {func(s *testShop, _ *browser) *browser { return s.open(false) }, http.StatusUnauthorized},
		"of somebody locked": {func(s *testShop, b *browser) *browser {
			for range restoration.MaxMisses {
				_, err := s.store.RecordMiss(s.t.Context(), s.ada.ID)
				require.NoError(s.t, err)
			}
			return b
		}, http.StatusForbidden},
		"of somebody who left": {func(s *testShop, b *browser) *browser {
			require.NoError(s.t, s.store.PersonLeft(s.t.Context(), s.owner, s.ada.ID))
			return b
		}, http.StatusForbidden},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := setup(t)
			b := s.signIn(s.ada)
			pass := b.passOn("/bench")
			if name == "made up" {
				pass, _, _ = access.NewToken()
			}
			b = c.change(s, b)
			got := b.sendWith("/bench/events", batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"})), passHeader, pass)
			require.Equal(t, c.status, got.status, got.body)
			require.Equal(t, "application/problem+json", got.header.Get("Content-Type"))
			entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
			require.NoError(t, err)
			require.Len(t, entries, 1, "only the opening")
		})
	}
}

func TestAPassEndsAfterThirtyDays(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	pass := b.passOn("/bench")
	sessions := s.store.Sessions()
	kept, found, err := findKept(t.Context(), sessions, passKey(pass))
	require.NoError(t, err)
	require.True(t, found)
	require.NoError(t, commitKept(t.Context(), sessions, passKey(pass), kept, time.Now().Add(-time.Second)))
	got := b.sendWith("/bench/events", batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"})), passHeader, pass)
	require.Equal(t, http.StatusUnauthorized, got.status)
	require.Contains(t, got.body, "until you sign in on it again")
}

func TestLetGoIsAudited(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	early := entryOf(s, "Glove-box door", "tick", nil)
	require.Equal(t, restoration.Refused, answersOf(t, b.send("/bench/events", batch(t, early)))[0].Outcome)
	require.Equal(t, http.StatusNoContent, b.send("/bench/letgo", `{"id": "`+early["id"].(string)+`", "says": "Done"}`).status)
	rows, err := s.store.Audit(t.Context(), restoration.AuditFilter{Acts: []restoration.Act{restoration.ActLetGo}})
	require.NoError(t, err)
	require.Len(t, rows, 1)
	require.Equal(t, "an entry on Glove-box door", rows[0].Subject)
	require.Equal(t, s.ada.Name, rows[0].Person)
	require.Equal(t, s.pieces["Glove-box door"].ID, rows[0].PieceID)
	require.Contains(t, rows[0].Before, "Answer first")
	open, err := s.store.History(t.Context(), restoration.HistoryFilter{RefusedOpen: true})
	require.NoError(t, err)
	require.Len(t, open, 1, "the owner still has a look")

	require.Equal(t, http.StatusBadRequest, b.send("/bench/letgo", `{"id": "no"}`).status)
	require.Equal(t, http.StatusBadRequest, b.send("/bench/letgo", `no`).status)
	require.Equal(t, http.StatusRequestEntityTooLarge, b.send("/bench/letgo", `{"says": "`+strings.Repeat("x", maxLetGo)+`"}`).status)
	require.Equal(t, http.StatusUnauthorized, s.open(true).send("/bench/letgo", "{}").status)
}
