package main

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/store/storetest"
)

// Every link that doesn't open is answered alike, to the byte: nobody learns whether
// it ever did.
func TestLinksThatDoNotOpen(t *testing.T) {
	t.Parallel()
	s := serveShop(t)
	expired, revoked, good := s.makeLink(), s.makeLink(), s.makeLink() // numbered 1, 2, 3
	s.expire(1)
	page := s.owner.post("/office/cars/"+s.car+"/links/2/revoke", nil)
	require.Contains(t, page.text(), "The link is revoked")
	visitor := newClient(t, s.owner.base)
	require.Equal(t, http.StatusOK, visitor.get(good).status)
	requirePrivate(t, visitor.get(good))
	tokens := map[string]string{
		"expired": expired, "revoked": revoked, "never made": "/p/" + strings.Repeat("A", 43), "short": "/p/x", "none": "/p/",
		"too long": "/p/" + strings.Repeat("long", 2000), "one sign wrong": good[:len(good)-1] + "~",
		"other case":              "/p/" + strings.ToUpper(strings.TrimPrefix(good, "/p/")),
		"broken escape of nought": "/p/%00", "not UTF-8": "/p/%ff%fe", "a path": good + "/more", "climbing": "/p/..%2f..%2foffice",
		"SQL": "/p/" + url.PathEscape(`' OR 1=1 --`), "HTML": "/p/" + url.PathEscape(`<script>alert(1)</script>`), "hash": "/p/" + strings.Repeat("ab", 32),
	}
	want := visitor.get("/p/" + strings.Repeat("B", 43))
	want.header.Del("Date")
	require.Equal(t, http.StatusNotFound, want.status)
	require.Contains(t, want.text(), "This link doesn't open anything")
	requirePrivate(t, want)
	for name, path := range tokens {
		got := visitor.get(path)
		got.header.Del("Date")
		require.Equal(t, want.status, got.status, name)
		require.Equal(t, want.body, got.body, name)
		require.Equal(t, want.header, got.header, name)
	}
}

// expire lets a link's time run out a second ago, which no page can do.
func (s *shop) expire(link int) {
	_, err := storetest.Superuser(s.t, s.database).Exec(s.t.Context(),
		`UPDATE progress_links SET created_at = now() - interval '90 days', expires_at = now() - interval '1 second' WHERE id = $1`, link)
	require.NoError(s.t, err)
}

// requirePrivate wants a page that leaves no trace.
func requirePrivate(t *testing.T, page reply) {
	t.Helper()
	require.Empty(t, page.header.Values("Set-Cookie"))
	require.Equal(t, "no-store", page.header.Get("Cache-Control"))
	require.Contains(t, page.header.Get("X-Robots-Tag"), "noindex")
	require.Equal(t, "no-referrer", page.header.Get("Referrer-Policy"))
	require.NotRegexp(t, `(src|href)="(https?:)?//`, page.body, "nothing from elsewhere")
}
