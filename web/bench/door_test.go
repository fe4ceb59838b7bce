package bench

import (
	"net/http"
	"net/url"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestTabletNeedsACodeOnce(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.open(false)
	for _, path := range []string{"/bench", "/bench/people", "/bench/find?code=x", "/bench/pin/1", "/bench/pieces/" + pieceA} {
		require.Equal(t, "/bench/enrol", b.get(path).path, path)
	}
	wrong := b.post("/bench/enrol", url.Values{"code": {"WRNG-C0DE"}})
	require.Equal(t, http.StatusUnprocessableEntity, wrong.status)
	require.Contains(t, wrong.body, "WRNG-C0DE", "what was typed stands there")
	require.Contains(t, wrong.body, "ask an owner for a new one")

	code := s.code("Bench 2")
	require.Equal(t, "/bench/people", b.post("/bench/enrol", url.Values{"code": {code}}).path)
	require.Equal(t, "/bench/people", b.get("/bench").path, "it stays enrolled")
	again := s.open(false).post("/bench/enrol", url.Values{"code": {code}})
	require.Equal(t, http.StatusUnprocessableEntity, again.status, "a code works once")
}

func TestTabletCookieIsKeptFromScripts(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.open(false)
	b.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	got := b.post("/bench/enrol", url.Values{"code": {s.code("Bench 2")}})
	require.Equal(t, http.StatusSeeOther, got.status)
	cookie := got.header.Get("Set-Cookie")
	for _, part := range []string{deviceCookie + "=", "HttpOnly", "SameSite=Strict", "Path=/bench"} {
		require.Contains(t, cookie, part)
	}
}

func TestRevokedTabletSaysSo(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	require.NoError(t, s.store.RevokeDevice(t.Context(), s.owner, s.device.ID))
	got := b.get("/bench")
	require.Equal(t, "/bench/enrol", got.path)
	require.Contains(t, got.body, "revoked")
	require.Equal(t, http.StatusUnauthorized, b.send("/bench/events", "[]").status)
}

func TestCodesAreTriedAtAWalkingPace(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.open(false)
	for range enrolTries {
		require.Equal(t, http.StatusUnprocessableEntity, b.post("/bench/enrol", url.Values{"code": {"nope"}}).status)
	}
	got := b.post("/bench/enrol", url.Values{"code": {"nope"}})
	require.Equal(t, http.StatusTooManyRequests, got.status)
	require.Contains(t, got.body, "Wait a minute")
}

func TestWrongPINsLockUntilTheOwnerUnlocks(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.open(true)
	path := "/bench/pin/" + strconv.FormatInt(s.ada.ID, 10)
	for _, says := range []string{"4 tries left", "3 tries left", "2 tries left", "One try left", "is locked after 5 wrong tries"} {
		got := b.post(path, url.Values{"pin": {"9999"}})
		require.Equal(t, http.StatusUnprocessableEntity, got.status)
		require.Contains(t, got.body, says)
	}
	right := b.post(path, url.Values{"pin": {pin}})
	require.Equal(t, http.StatusForbidden, right.status, "the right PIN doesn't open either")
	require.Contains(t, right.body, "an owner can unlock")
	require.Contains(t, b.get("/bench/people").body, "locked: ask the owner")

	require.NoError(t, s.store.UnlockPerson(t.Context(), s.owner, s.ada.ID))
	require.Equal(t, "/bench", b.post(path, url.Values{"pin": {pin}}).path)
}

func TestPINsAreTriedAtAWalkingPace(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.open(true)
	path := "/bench/pin/" + strconv.FormatInt(s.ada.ID, 10)
	for range pinTries {
		b.post(path, url.Values{"pin": {"9999"}})
	}
	require.Equal(t, http.StatusTooManyRequests, b.post(path, url.Values{"pin": {"9999"}}).status)
	other := b.post("/bench/pin/"+strconv.FormatInt(s.ben.ID, 10), url.Values{"pin": {pin}})
	require.Equal(t, "/bench", other.path, "another person is not held up")
}

func TestNextPersonNeedsNoSignOut(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	require.Contains(t, b.get("/bench").body, s.ada.Name)
	b.post("/bench/pin/"+strconv.FormatInt(s.ben.ID, 10), url.Values{"pin": {pin}})
	require.Contains(t, b.get("/bench").body, s.ben.Name)
	require.NotContains(t, b.get("/bench").body, s.ada.Name)
	require.Equal(t, "/bench/people", b.post("/bench/signout", nil).path)
	require.Equal(t, "/bench/people", b.get("/bench").path)
}

func TestWhoLeftIsOut(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	require.NoError(t, s.store.PersonLeft(t.Context(), s.owner, s.ada.ID))
	require.Equal(t, "/bench/people", b.get("/bench").path)
}

func TestSessionStaysOnItsTablet(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	_, other := s.tablet("Bench 2")
	at, err := url.Parse(s.server.URL + "/bench")
	require.NoError(t, err)
	b.client.Jar.SetCookies(at, []*http.Cookie{{Name: deviceCookie, Value: other, Path: "/bench"}})
	require.Equal(t, "/bench/people", b.get("/bench").path)
}

func TestTriesLeft(t *testing.T) {
	t.Parallel()
	for misses, want := range map[int]string{
		1: "Wrong PIN. 4 tries left.",
		4: "Wrong PIN. One try left; then only the owner can unlock you.",
		9: "Wrong PIN. 0 tries left.",
	} {
		require.Equal(t, want, triesLeft(misses))
	}
	require.Equal(t, 5, restoration.MaxMisses, "the sentences above count from it")
}
