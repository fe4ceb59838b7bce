package main

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A shop that measures in US units reads no metric figure on any page of the office or
// the bench. Every link is followed, up to some pages of each kind.
func TestAUSShopReadsNoMetricFigure(t *testing.T) {
	t.Parallel()
	p := start(t, "demo", "--units", "us", "--listen", "127.0.0.1:0", "--data-dir", t.TempDir())

	office := newClient(t, p.base)
	page := office.post("/office/signin", url.Values{"name": {p.said(t, `name "([^"]+)"`)}, "password": {p.said(t, `password "([^"]+)"`)}})
	require.Equal(t, "/office", page.at, page.words())
	seen := office.walk("/office/", "/office", "/office/batches?hours=72", "/office/batches/print?hours=72", "/office/audit", "/office/records", "/office/materials", "/office/defects", "/office/settings", "/office/settings/film", "/office/places/labels")
	require.Contains(t, seen, " fl oz")
	require.Contains(t, seen, " mil")
	require.Contains(t, seen, " ft²")
	require.Contains(t, seen, " US gal")
	require.Contains(t, seen, "lb/gal")
	require.Contains(t, seen, " × 1 in")
	table := office.get("/office/records.csv").body
	require.Contains(t, table, ",us_gal,voc_lb,")
	require.NotContains(t, table, "litre")

	s := &shop{t: t, owner: office}
	s.tablet = newClient(t, p.base)
	page = s.tablet.post("/bench/enrol", url.Values{"code": {p.said(t, `code (\S+),`)}})
	require.Equal(t, "/bench/people", page.at, page.words())
	s.signIn(s.tablet, p.said(t, `(?m)^\s+(\S+ \S+), PIN`), p.said(t, `PIN (\d+)`))
	for page := s.tablet.get("/bench"); strings.Contains(page.body, "When did you stop?"); page = s.tablet.get("/bench") {
		form := hidden(t, page, "/bench/hours")
		form.Set("hours", "1")
		s.tablet.post("/bench/hours", form)
	}
	seen = s.tablet.walk("/bench", "/bench", "/bench/together", "/bench/waiting")
	require.Contains(t, seen, " fl oz")
	require.Contains(t, seen, " mil")
	require.NotContains(t, seen, choiceOfMetric)
}

// eachKind is how many pages of one kind a walk opens.
const eachKind = 2

var (
	unseen  = regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(script|style)>|<[^>]*>`)
	ids     = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f-]{27}|\d+|\?.*`)
	metric  = regexp.MustCompile(`.{0,60}(?:\d[ \x{a0}\x{2009}]?(?:mL|L|mm|cm|kg)\b|(?:^|[^\pL])(?:mL|mm|g/L|kg)(?:[^\pL]|$)|µm|m²|°C|\blit(?:re|er)s?\b).{0,40}`)
	toFetch = regexp.MustCompile(`<a [^>]*href="([^"#]+)`)
)

// walk opens what the links of pages below a path lead to, holds each page against the
// units, and gives all that was read.
func (c *client) walk(below string, paths ...string) string {
	c.t.Helper()
	var read strings.Builder
	opened, kinds := map[string]bool{}, map[string]int{}
	for len(paths) > 0 {
		path := paths[0]
		paths = paths[1:]
		kind := ids.ReplaceAllString(path, "#")
		if opened[path] || kinds[kind] >= eachKind || !strings.HasPrefix(path, below) && path != strings.TrimSuffix(below, "/") || metricOnPurpose(path) {
			continue
		}
		opened[path] = true
		kinds[kind]++
		page := c.get(path)
		if page.status != http.StatusOK || !strings.HasPrefix(page.header.Get("Content-Type"), "text/html") {
			continue
		}
		text := html.UnescapeString(unseen.ReplaceAllString(page.body, "\u2009"))
		text = strings.Replace(text, choiceOfMetric, "", 1)
		assert.Empty(c.t, metric.FindAllString(text, -1), path)
		read.WriteString(text)
		for _, found := range toFetch.FindAllStringSubmatch(page.body, -1) {
			paths = append(paths, html.UnescapeString(found[1]))
		}
	}
	c.t.Logf("%d pages of %d kinds below %s", len(opened), len(kinds), below)
	return read.String()
}

// choiceOfMetric is what the setting of the units says of the other choice.
const choiceOfMetric = "m², µm, °C, L"

// metricOnPurpose are the worked examples of the rules, which are published in metric
// figures.
func metricOnPurpose(path string) bool {
	return path == "/office/reference" || strings.HasSuffix(path, "/signout")
}
