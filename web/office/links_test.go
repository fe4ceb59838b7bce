package office

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

var linkAddress = regexp.MustCompile(`https://shop\.example/p/([A-Za-z0-9_-]{43})`)

func TestLinks(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromNone)).code)
	path := linksPath("26-001")
	require.NotRegexp(t, linkAddress, b.get(path).body)

	a := b.post(path, url.Values{"lives": {"30"}, "show_hours": {"on"}})
	require.Equal(t, http.StatusOK, a.code)
	m := linkAddress.FindStringSubmatch(a.body)
	require.NotNil(t, m, "the address is shown once")
	require.Contains(t, a.body, `data-copy="#link-address"`)
	require.NotRegexp(t, linkAddress, b.get(path).body, "and not again")
	require.Contains(t, b.get(path).body, "works until Sun 26 Apr 2026")

	link, err := b.store.OpenLink(t.Context(), access.HashToken(m[1]))
	require.NoError(t, err)
	require.True(t, link.ShowHours)
	require.False(t, link.ShowName)
	require.Equal(t, houseNow.AddDate(0, 0, 30), link.ExpiresAt.UTC())
	require.Contains(t, b.get(path).body, "1 view")

	own := path + "/" + formatID(link.ID)
	page := b.get(own)
	require.Contains(t, page.body, `value="2026-04-26"`)
	require.Contains(t, page.text(), "This can't be undone")
	a = b.post(own, url.Values{"expires": {"2026-03-26"}, "show_name": {"on"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `value="2026-03-26"`, "what was typed stays")
	require.Contains(t, a.body, "Choose a later day.")
	require.Equal(t, http.StatusUnprocessableEntity, b.post(own, url.Values{"expires": {""}}).code)
	require.Equal(t, path, b.post(own, url.Values{"expires": {"2026-05-01"}, "show_name": {"on"}}).to)
	link, err = b.store.OpenLink(t.Context(), access.HashToken(m[1]))
	require.NoError(t, err, "the address is the same")
	require.False(t, link.ShowHours)
	require.True(t, link.ShowName)
	require.Equal(t, time.Date(2026, 5, 1, 23, 59, 59, 0, time.UTC), link.ExpiresAt.UTC())
	require.Equal(t, http.StatusNotFound, b.get(linksPath("26-001")+"/99").code)

	require.Equal(t, path, b.post(own+"/revoke", nil).to)
	require.Contains(t, b.get(own).text(), "Make a new link instead")
	require.Equal(t, http.StatusUnprocessableEntity, b.post(own, url.Values{"expires": {"2026-05-01"}}).code)
	require.Contains(t, b.get(path).body, "revoked on Fri 27 Mar 2026, 14:30")
	_, err = b.store.OpenLink(t.Context(), access.HashToken(m[1]))
	require.Error(t, err)

	a = b.post(path, url.Values{"lives": {"999999"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Choose one of those listed.")
	require.Equal(t, http.StatusNotFound, b.get(linksPath("26-999")).code)
	require.Equal(t, http.StatusNotFound, b.post(path+"/99/revoke", nil).code)
}

// With a script, the form on the car's page is answered with the panel alone.
func TestLinkFragment(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromNone)).code)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, b.server.URL+linksPath("26-001"), nil)
	require.NoError(t, err)
	r.Header.Set("HX-Request", "true")
	resp, err := b.client.Do(r)
	require.NoError(t, err)
	defer resp.Body.Close()
	require.Equal(t, http.StatusOK, resp.StatusCode)
	start := make([]byte, 30)
	_, err = resp.Body.Read(start)
	require.NoError(t, err)
	require.Contains(t, string(start), `<section id="links"`)
}

func TestLinkRow(t *testing.T) {
	t.Parallel()
	v := visit{Now: houseNow, Loc: time.UTC}
	live := restoration.Link{CreatedAt: houseNow.Add(-48 * time.Hour), ExpiresAt: houseNow.Add(time.Hour)}
	seen := live
	seen.Views, seen.LastSeen, seen.ShowHours, seen.ShowName = 3, houseNow.Add(-time.Hour), true, true
	over := live
	over.ExpiresAt = houseNow
	revoked := live
	revoked.RevokedAt = houseNow.Add(-time.Minute)
	for name, c := range map[string]struct {
		link restoration.Link
		want linkRow
	}{
		"live":    {live, linkRow{Made: "Wed 25 Mar 2026", Ends: "works until Fri 27 Mar 2026", Shows: "stages and dates", Seen: "not opened yet", Live: true}},
		"seen":    {seen, linkRow{Made: "Wed 25 Mar 2026", Ends: "works until Fri 27 Mar 2026", Shows: "stages and dates, hours, the car's name", Seen: "3 views, last 1 h ago", Live: true}},
		"over":    {over, linkRow{Made: "Wed 25 Mar 2026", Ends: "ran out on Fri 27 Mar 2026", Shows: "stages and dates", Seen: "not opened yet"}},
		"revoked": {revoked, linkRow{Made: "Wed 25 Mar 2026", Ends: "revoked on Fri 27 Mar 2026, 14:29", Shows: "stages and dates", Seen: "not opened yet"}},
	} {
		if name != "revoked" {
			c.want.Href = "/x/0"
		}
		require.Equal(t, c.want, newLinkRow(c.link, "/x", v), name)
	}
}
