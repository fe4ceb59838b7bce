package bench

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// whole reads an answer as it stands on the wire.
func whole(t *testing.T, address string) []byte {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	require.NoError(t, err)
	r.Header.Set("Accept-Encoding", "gzip")
	res, err := http.DefaultTransport.RoundTrip(r)
	require.NoError(t, err)
	defer res.Body.Close()
	require.Equal(t, http.StatusOK, res.StatusCode, address)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return body
}

func packed(t *testing.T, text string) int {
	t.Helper()
	var buf bytes.Buffer
	w := gzip.NewWriter(&buf)
	_, err := w.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return buf.Len()
}

// Neither money nor a word of a customer, whatever the page.
func TestBenchShowsNoMoneyAndNoCustomer(t *testing.T) {
	t.Parallel()
	s := setup(t)
	pages := gallery(s)
	b := s.signIn(s.ada)
	pages["search by label"] = "/bench/find?code=" + s.pieces["Ash tray"].Label
	pages["history"] = piecePath(s.pieces["Ash tray"].ID)
	for name, path := range pages {
		body := b.get(path).body
		require.Contains(t, body, "</html>", name)
		for _, secret := range []string{customer, contact, "Quarnby", "98765", "987.65", "$"} {
			require.NotContains(t, body, secret, name)
		}
	}
	sent := answersOf(t, b.send("/bench/events", batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"}))))
	require.NotContains(t, fmt.Sprint(sent), "Quarnby")
}

// A bench page is there in one breath on bad Wi-Fi: at most 60 kB over the wire for the
// page, its style sheets, its scripts and the typeface, with sixty pieces listed; what it
// fetches once it is drawn is 12 kB more. From the second page on, all but the page itself
// stands on the tablet.
func TestFirstVisitFitsSixtyKilobytes(t *testing.T) {
	t.Parallel()
	s := setup(t)
	var many []string
	for i := range 60 {
		many = append(many, fmt.Sprintf("Moulding %d of the right-hand rear quarter", i+1))
	}
	s.newCar("1951 Ferndale Traveller", many...)
	b := s.signIn(s.ada)
	for _, path := range []string{"/bench", piecePath(s.pieces["Ash tray"].ID), piecePath(s.pieces["Ash tray"].ID) + "/back"} {
		body := b.get(path).body
		sum := packed(t, body)
		links := regexp.MustCompile(`(?:<link rel="stylesheet" href|<script src)="([^"]+)"`).FindAllStringSubmatch(body, -1)
		require.GreaterOrEqual(t, len(links), 3, "two style sheets and a script; the finish has its own beside them")
		for _, m := range links {
			sum += len(whole(t, s.server.URL+m[1]))
		}
		sum += len(whole(t, s.server.URL+"/static/fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2"))
		then := regexp.MustCompile(`data-then="([^"]+)"`).FindStringSubmatch(body)
		require.NotNil(t, then, path)
		after := 0
		for _, address := range strings.Fields(then[1]) {
			after += len(whole(t, s.server.URL+address))
		}
		t.Logf("%s: %d bytes, of them %d of the page; %d after", path, sum, packed(t, body), after)
		require.LessOrEqual(t, sum, 60_000, path)
		require.LessOrEqual(t, after, 12_000, path)
	}
}

func TestALongListCountsAllAndDrawsSome(t *testing.T) {
	t.Parallel()
	s := setup(t)
	var many []string
	for i := range 50 {
		many = append(many, fmt.Sprintf("Moulding %d", i+1))
	}
	large := s.newCar("1951 Ferndale Traveller", many...)
	for range 8 {
		s.newCar("1949 Larkhall Ten", "Ash tray")
	}
	b := s.signIn(s.ada)
	tiles := func(page page) int { return strings.Count(page.body, `<a class="tile"`) }

	list := b.get("/bench")
	require.Equal(t, 40, tiles(list))
	require.Contains(t, list.body, "And 23 more. Choose a car.")
	require.Contains(t, list.body, "Ready now 63", "five, fifty and eight")
	require.Contains(t, list.body, "<summary>More cars</summary>")
	require.Equal(t, 11, strings.Count(list.body, `href="/bench?car=`)+strings.Count(list.body, `href="/bench" aria-current="true"`), "all, and each car once")

	list = b.get("/bench?car=" + large.WorkOrder)
	require.Equal(t, 50, tiles(list))
	require.NotContains(t, list.body, " more. ")
	require.Contains(t, list.body, "Ready now 63")
	require.Contains(t, b.get("/bench/waiting?car="+large.WorkOrder).body, "Nothing here for "+large.WorkOrder)
}

// Every form has a method, an address and an id for its entry, and nothing runs
// inline.
func TestPagesKeepTheirPromises(t *testing.T) {
	t.Parallel()
	s := setup(t)
	pages := gallery(s)
	b := s.signIn(s.ada)
	inline := regexp.MustCompile(`(?i) on[a-z]+="| style="|<style|<script>|javascript:`)
	for name, path := range pages {
		body := b.get(path).body
		require.NotRegexp(t, inline, body, name)
		require.Equal(t, 1, strings.Count(body, "<h1"), name)
		for _, form := range regexp.MustCompile(`<form[^>]*data-event[^>]*>`).FindAllString(body, -1) {
			require.Contains(t, form, `method="post"`, name)
			require.Regexp(t, `action="/bench/(pieces|together)/`, form, name)
		}
		ids := regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(body, -1)
		seen := map[string]bool{}
		for _, m := range ids {
			require.False(t, seen[m[1]], "%s: the id %q stands twice", name, m[1])
			seen[m[1]] = true
		}
		for _, m := range regexp.MustCompile(` (?:form|for|aria-describedby)="([^"]+)"`).FindAllStringSubmatch(body, -1) {
			for id := range strings.FieldsSeq(m[1]) {
				require.True(t, seen[id], "%s: nothing has the id %q", name, id)
			}
		}
	}
}

// The words on what is touched are short: five at most.
func TestButtonsHaveFewWords(t *testing.T) {
	t.Parallel()
	s := setup(t)
	pages := gallery(s)
	b := s.signIn(s.ada)
	word := regexp.MustCompile(`<(?:button|a) class="button[^"]*"[^>]*>\s*<span>([^<]+)</span>`)
	found := 0
	for name, path := range pages {
		for _, m := range word.FindAllStringSubmatch(b.get(path).body, -1) {
			found++
			require.LessOrEqual(t, len(strings.Fields(m[1])), 5, "%s: %s", name, m[1])
		}
	}
	require.Greater(t, found, 50)
	for _, d := range restoration.Defects() {
		require.LessOrEqual(t, len(strings.Fields(d.Name)), 5, d.Name)
	}
}
