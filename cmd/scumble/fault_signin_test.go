package main

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// Who misses the PIN too often is locked, even for the right one, until the owner
// unlocks them.
func TestWrongPINLocks(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	tablet := s.enrol("Spray booth")
	for miss := range restoration.MaxMisses {
		page := s.signIn(tablet, "Jonas Örn", "9315")
		require.Equal(t, http.StatusUnprocessableEntity, page.status, "miss %d: %s", miss+1, page.words())
	}
	require.Equal(t, http.StatusForbidden, s.signIn(tablet, "Jonas Örn", pin).status, "the right PIN no longer opens")
	require.Equal(t, "/bench/people", tablet.get("/bench").at, "nobody is signed in")
	require.Equal(t, "/bench/people", s.tablet.get("/bench").at, "nor on the other tablet any more")
	note := bodyOf(t, newEntry("note", entry{"piece": s.pieces[0], "note": "still mine"}))
	requireProblem(t, s.tablet.send("/bench/events", note), http.StatusUnauthorized, "")
	require.Contains(t, s.owner.get("/office").text(), "Jonas Örn is locked out")

	person := find(t, s.owner.get("/office/people"), `(?s)href="(/office/people/\d+)"[^>]*>(?:<bdi>)?Jonas Örn`)
	require.Contains(t, s.owner.post(person+"/unlock", nil).text(), "can sign in again")
	require.Equal(t, "/bench", s.signIn(tablet, "Jonas Örn", pin).at)
}

// A PIN, a code and a password can't be guessed at speed.
func TestTriesAreSlowedDown(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	path := s.pinPath(s.tablet, "Jonas Örn")
	for _, tc := range []struct {
		name, says string
		try        func() reply
	}{
		{"PIN", "is locked", func() reply { return s.tablet.post(path, url.Values{"pin": {"9315"}}) }},
		{"code", "Too many tries", func() reply { return s.tablet.post("/bench/enrol", url.Values{"code": {"ABCD-EFGH"}}) }},
		{"password", "Too many tries", func() reply {
			return s.owner.post("/office/signin", url.Values{"name": {"Nobody"}, "password": {"x"}})
		}},
		{"set-up", "Too many tries", func() reply { return s.owner.post("/office/setup", url.Values{"code": {"ABCD-EFGH"}}) }},
	} {
		var last reply
		for tries := 0; tries < 20 && last.status != http.StatusTooManyRequests; tries++ {
			last = tc.try()
			require.NotEqual(t, http.StatusOK, last.status, "%s: %s", tc.name, last.words())
		}
		require.Equal(t, http.StatusTooManyRequests, last.status, tc.name)
		require.NotEmpty(t, last.header.Get("Retry-After"), tc.name)
		require.Contains(t, last.text(), tc.says, tc.name)
	}
}

// An owner who is locked out is let in again by a command on the machine itself.
func TestLockedOwnerIsUnlockedByCommand(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	signIn := func(typed string) reply {
		return newClient(t, s.owner.base).post("/office/signin", url.Values{"name": {owner}, "password": {typed}})
	}
	for range restoration.MaxMisses {
		require.Equal(t, http.StatusUnprocessableEntity, signIn("wrong horse").status)
	}
	wrong := signIn(password)
	require.Equal(t, http.StatusUnprocessableEntity, wrong.status, "the right password no longer opens")
	require.NotContains(t, wrong.body, password, "no page shows a password again")
	_, errs, err := execute(t, "", "person", "unlock", "1", "--database-url", s.database)
	require.NoError(t, err, errs)
	require.Equal(t, "/office", signIn(password).at)
}
