package ui

import (
	"bytes"
	"compress/gzip"
	"flag"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/a-h/templ"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/static"
)

var update = flag.Bool("update", false, "write the golden files anew")

func render(t *testing.T, c templ.Component) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, c.Render(t.Context(), &b))
	return b.String()
}

func parse(t *testing.T, page string) []*html.Node {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	var nodes []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode {
			nodes = append(nodes, n)
		}
	}
	require.NotEmpty(t, nodes)
	return nodes
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func faces(t *testing.T, check func(t *testing.T, page string, nodes []*html.Node)) {
	t.Helper()
	for _, face := range GalleryFaces() {
		t.Run(face, func(t *testing.T) {
			t.Parallel()
			c, ok := GalleryPage(face)
			require.True(t, ok)
			page := render(t, c)
			check(t, page, parse(t, page))
		})
	}
}

func TestGalleryKnowsItsFacesOnly(t *testing.T) {
	t.Parallel()
	_, ok := GalleryPage("attic")
	require.False(t, ok)
}

// A strict content security policy holds: nothing inline, nothing from elsewhere.
func TestNothingInline(t *testing.T) {
	t.Parallel()
	faces(t, func(t *testing.T, page string, nodes []*html.Node) {
		for _, n := range nodes {
			require.NotEqual(t, "style", n.Data)
			if n.Data == "script" {
				require.Nil(t, n.FirstChild, "inline script")
				require.True(t, strings.HasPrefix(attribute(n, "src"), "/static/"))
			}
			for _, a := range n.Attr {
				require.NotEqual(t, "style", a.Key)
				require.False(t, strings.HasPrefix(a.Key, "on"), "%s has %s", n.Data, a.Key)
				require.False(t, strings.HasPrefix(a.Key, "hx-on"), "%s has %s", n.Data, a.Key)
				if a.Key == "src" || n.Data == "link" && a.Key == "href" {
					require.True(t, strings.HasPrefix(a.Val, "/static/"), a.Val)
				}
			}
		}
	})
}

func TestOneHeadingOneMainAndALanguage(t *testing.T) {
	t.Parallel()
	faces(t, func(t *testing.T, page string, nodes []*html.Node) {
		count := map[string]int{}
		for _, n := range nodes {
			if n.Data == "title" && n.Parent.Data != "head" {
				continue // of a drawing
			}
			count[n.Data]++
			if n.Data == "html" {
				require.Equal(t, "en-GB", attribute(n, "lang"))
			}
		}
		for _, once := range []string{"h1", "main", "title", "header"} {
			require.Equal(t, 1, count[once], once)
		}
	})
}

// Ids are unique, and whatever points at one finds it: labels, descriptions,
// patterns, reused drawings, links within the page.
func TestWhatPointsFindsItsTarget(t *testing.T) {
	t.Parallel()
	target := regexp.MustCompile(`url\(#([^)]+)\)`)
	faces(t, func(t *testing.T, page string, nodes []*html.Node) {
		ids := map[string]bool{}
		for _, n := range nodes {
			if id := attribute(n, "id"); id != "" {
				require.False(t, ids[id], "id %q twice", id)
				ids[id] = true
			}
		}
		for _, m := range target.FindAllStringSubmatch(page, -1) {
			require.True(t, ids[m[1]], m[0])
		}
		for _, n := range nodes {
			for _, name := range []string{"for", "aria-labelledby", "aria-describedby", "list"} {
				for id := range strings.FieldsSeq(attribute(n, name)) {
					require.True(t, ids[id], "%s %s=%q", n.Data, name, id)
				}
			}
			if n.Data == "use" {
				require.True(t, ids[strings.TrimPrefix(attribute(n, "href"), "#")])
			}
		}
	})
}

func TestCustomerPageGivesNothingAway(t *testing.T) {
	t.Parallel()
	page := render(t, galleryProgress())
	require.Contains(t, page, `<meta name="robots" content="noindex, nofollow, noarchive">`)
	require.Contains(t, page, `<meta name="referrer" content="no-referrer">`)
	require.Contains(t, page, "<title>Progress</title>")
	require.NotContains(t, page, "<script")
	require.NotContains(t, page, "og:")
}

// What is typed is text, wherever it comes out.
func TestTypedTextStaysText(t *testing.T) {
	t.Parallel()
	const evil = `"><script>alert(1)</script>'; DROP TABLE cars`
	for name, c := range map[string]templ.Component{
		"page":   PlainPage(PageProps{Title: evil, Eyebrow: evil, Lede: evil, ShopName: evil, Query: evil, Person: evil}),
		"field":  Field(FieldProps{Name: "a", Label: evil, Value: evil, Error: evil, Hint: evil}),
		"area":   Field(FieldProps{Name: "a", Label: evil, Value: "</textarea>" + evil, Type: "textarea"}),
		"swatch": Swatch(NewScheme(evil, evil), restoration.Look(evil), evil),
		"film":   FilmSection(FilmProps{Label: evil, Film: fixtureGauged().Film, Materials: map[coating.Layer]string{coating.Clear: evil}}),
		"plan":   Plan(PlanProps{Label: evil, Pieces: []PlanPiece{{ID: evil, Name: evil, Stage: evil, Waiting: evil, Trouble: evil, Href: "/x", Zone: restoration.Zone(evil), Look: restoration.Look(evil)}}}),
		"strip":  HoursStrip(HoursStripProps{Label: evil, Segments: []StripSegment{{Look: restoration.Look(evil), Label: evil, Hours: 3}}}),
		"flash":  Flash(Notice{Kind: NoticeKind(evil), Text: evil}),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, n := range parse(t, render(t, c)) {
				if n.Data == "script" {
					require.NotEmpty(t, attribute(n, "src"))
				}
			}
		})
	}
	for _, n := range parse(t, render(t, Button(ButtonProps{Word: "x", Href: "javascript:alert(1)"}))) {
		require.NotContains(t, attribute(n, "href"), "javascript:")
	}
}

// First paint of a bench page: page, sheets, script and typeface, as sent.
func TestBenchPageWeighsAtMost60kB(t *testing.T) {
	t.Parallel()
	sum := zipped(t, []byte(render(t, galleryBench())))
	for _, name := range []string{"css/base.css", "css/bench.css", "css/mark.svg", "js/bench.js",
		"fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2"} {
		sum += sent(t, name)
	}
	t.Logf("%d bytes", sum)
	require.Less(t, sum, 60_000)
}

// sent is how many bytes the server sends of a static file.
func sent(t *testing.T, name string) int {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, static.URL(name), nil)
	r.Header.Set("Accept-Encoding", "gzip")
	w := httptest.NewRecorder()
	static.Handler().ServeHTTP(w, r)
	require.Equal(t, http.StatusOK, w.Code, name)
	require.NotZero(t, w.Body.Len(), name)
	return w.Body.Len()
}

func zipped(t *testing.T, body []byte) int {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := w.Write(body)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.Len()
}

// The golden files show in review what a change does to the markup.
func TestGolden(t *testing.T) {
	t.Parallel()
	one := fixtureSaloon("/office/pieces")[5:6]
	for name, c := range map[string]templ.Component{
		"swatch":      Swatch(walnut, restoration.LookFitted, ""),
		"plan-one":    Plan(PlanProps{Label: "Interior", Scheme: walnut, Pieces: one}),
		"plan-none":   Plan(PlanProps{Label: "Interior", Empty: "Add the first one."}),
		"strip":       HoursStrip(fixtureStrip()),
		"axis-late":   PromiseAxis(fixtureAxes()[3]),
		"field-wrong": Field(fixtureFields()[2]),
		"stepper":     HoursStepper(StepperProps{Name: "hours", Label: "Hours", Minutes: 105}),
		"caution":     Caution("Mask, eyes, gloves.", "Common practice, no source."),
		"flash-error": Flash(fixtureNotices()[3]),
		"sort-header": SortHeader(SortHeaderProps{Word: "Piece", Key: "piece", Address: fixtureAddress()}),
		"defs":        SwatchDefs(walnut, blonde),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join("testdata", name+".golden.html")
			got := strings.ReplaceAll(render(t, c), "><", ">\n<") + "\n"
			if *update {
				require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err, "go test ./web/ui -update writes it")
			require.Equal(t, string(want), got)
		})
	}
}
