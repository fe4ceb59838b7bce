package static

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func get(t *testing.T, method, target string, header ...string) *http.Response {
	t.Helper()
	r := httptest.NewRequest(method, target, nil)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	Handler().ServeHTTP(w, r)
	return w.Result()
}

func body(t *testing.T, r io.Reader) string {
	t.Helper()
	b, err := io.ReadAll(r)
	require.NoError(t, err)
	return string(b)
}

func TestServesUnderTheHashForAYear(t *testing.T) {
	t.Parallel()
	address := URL("css/base.css")
	require.Regexp(t, `^/static/css/base\.css\?v=[0-9a-f]{16}$`, address)
	res := get(t, http.MethodGet, address)
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.Equal(t, "text/css; charset=utf-8", res.Header.Get("Content-Type"))
	require.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
	require.Contains(t, res.Header.Get("Cache-Control"), "immutable")
	require.Contains(t, body(t, res.Body), "--paper")
}

func TestAnOldHashIsNotKeptForAYear(t *testing.T) {
	t.Parallel()
	for _, target := range []string{"/static/css/base.css", "/static/css/base.css?v=0000"} {
		require.NotContains(t, get(t, http.MethodGet, target).Header.Get("Cache-Control"), "immutable")
	}
}

func TestCompressesText(t *testing.T) {
	t.Parallel()
	plain := body(t, get(t, http.MethodGet, URL("js/bench.js")).Body)
	res := get(t, http.MethodGet, URL("js/bench.js"), "Accept-Encoding", "br, gzip;q=0.8")
	require.Equal(t, "gzip", res.Header.Get("Content-Encoding"))
	require.Equal(t, "Accept-Encoding", res.Header.Get("Vary"))
	zr, err := gzip.NewReader(res.Body)
	require.NoError(t, err)
	require.Equal(t, plain, body(t, zr))
	for _, refused := range []string{"", "br", "gzip;q=0", "gzip; q=0"} {
		require.Empty(t, get(t, http.MethodGet, URL("js/bench.js"), "Accept-Encoding", refused).Header.Get("Content-Encoding"), refused)
	}
}

func TestTypeface(t *testing.T) {
	t.Parallel()
	res := get(t, http.MethodGet, "/static/fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2", "Accept-Encoding", "gzip")
	require.Equal(t, "font/woff2", res.Header.Get("Content-Type"))
	require.Empty(t, res.Header.Get("Content-Encoding"))
	require.True(t, strings.HasPrefix(body(t, res.Body), "wOF2"))
}

func TestNotModified(t *testing.T) {
	t.Parallel()
	first := get(t, http.MethodGet, URL("js/office.js"))
	res := get(t, http.MethodGet, URL("js/office.js"), "If-None-Match", first.Header.Get("ETag"))
	require.Equal(t, http.StatusNotModified, res.StatusCode)
	require.Empty(t, body(t, res.Body))
}

func TestKnowsFilesOnly(t *testing.T) {
	t.Parallel()
	for _, target := range []string{"/static/", "/static/css", "/static/css/", "/static/../static.go", "/static/static.go", "/static/css/none.css"} {
		require.Equal(t, http.StatusNotFound, get(t, http.MethodGet, target).StatusCode, target)
	}
	require.Equal(t, http.StatusMethodNotAllowed, get(t, http.MethodPost, URL("css/base.css")).StatusCode)
	require.Empty(t, body(t, get(t, http.MethodHead, URL("css/base.css")).Body))
	require.Panics(t, func() { URL("css/none.css") })
}

// Whatever the style sheets ask for is there.
func TestSheetsAskForNothingThatIsMissing(t *testing.T) {
	t.Parallel()
	found := 0
	for name, f := range all() {
		if !strings.HasSuffix(name, ".css") {
			continue
		}
		for _, part := range strings.Split(string(f.body), `url(../`)[1:] {
			target, _, _ := strings.Cut(part, `)`)
			require.Contains(t, all(), target, name)
			found++
		}
	}
	require.Equal(t, 6, found)
}

// A browser joins only those faces of a family that are of the very same weights: a sign
// of a face of other weights would take the family's place and leave the rest to another.
func TestEveryWeightHasAllSignsOfTheFamily(t *testing.T) {
	t.Parallel()
	signs := map[string][]string{}
	for _, face := range strings.Split(string(all()["css/base.css"].body), "@font-face")[1:] {
		value := func(property string) string {
			_, rest, ok := strings.Cut(face, property+":")
			require.True(t, ok, property)
			v, _, _ := strings.Cut(rest, ";")
			v, _, _ = strings.Cut(v, "}")
			return v
		}
		signs[value("font-weight")] = append(signs[value("font-weight")], value("unicode-range"))
	}
	require.Len(t, signs, 2)
	require.Len(t, signs["200 549"], 3)
	require.Equal(t, signs["200 549"], signs["550 800"])
}

// Vendored files stand beside their licence and version.
func TestVendoredFilesNameTheirLicence(t *testing.T) {
	t.Parallel()
	require.Contains(t, string(all()["vendor/htmx.LICENSE.txt"].body), "Zero-Clause BSD")
	require.Contains(t, string(all()["vendor/VERSION.txt"].body), "2.0.11")
	require.Contains(t, string(all()["vendor/htmx.min.js"].body), `version:"2.0.11"`)
	require.Contains(t, string(all()["vendor/jsqr.LICENSE.txt"].body), "Apache License")
	require.Contains(t, string(all()["vendor/VERSION.txt"].body), "jsQR 1.4.0")
	require.Contains(t, string(all()["vendor/jsqr.min.js"].body), "jsQR 1.4.0")
	require.Contains(t, string(all()["vendor/idb.LICENSE.txt"].body), "ISC License")
	require.Contains(t, string(all()["vendor/VERSION.txt"].body), "idb 8.0.4")
	require.Contains(t, string(all()["fonts/LICENSE.txt"].body), "SIL Open Font License")
	regular, bold := Typeface()
	for _, ttf := range [][]byte{regular, bold} {
		require.Equal(t, "\x00\x01\x00\x00", string(ttf[:4]), "TrueType")
	}
}

func TestScriptsAndSheetsAreServedShort(t *testing.T) {
	t.Parallel()
	const script = "// what it is\n\"use strict\";\n  // why\nlet at = \"https://a\"; // stays\n"
	require.Equal(t, `"use strict";let at="https://a"`, string(bare("js/x.js", []byte(script))))
	require.Equal(t, script, string(bare("vendor/x.js", []byte(script))))
	const sheet = "/* what it is,\n   at length */\n\n.a {\n  color: red; /* why */\n}\n"
	require.Equal(t, ".a{color:red}", string(bare("css/x.css", []byte(sheet))))
	require.Equal(t, "<svg/>", string(bare("css/x.svg", []byte("<svg/>"))))
	require.Panics(t, func() { bare("js/x.js", []byte("let = (")) }, "no script")
}
