// Package static holds the files a browser loads: style sheets, hand-written
// scripts, the typeface and the vendored htmx. They are embedded in the binary
// and compressed once at start. An address carries the hash of its content, so
// that a browser keeps a file for a year and still sees every change at once.
package static

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"mime"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/tdewolff/minify/v2"
	"github.com/tdewolff/minify/v2/css"
	"github.com/tdewolff/minify/v2/js"
)

// Prefix is where Handler has to be mounted.
const Prefix = "/static/"

//go:embed css js fonts vendor
var files embed.FS

// file is one embedded file, ready to be sent.
type file struct {
	body   []byte
	packed []byte // gzip; nil where it saves nothing
	kind   string // content type
	hash   string
}

// all is computed on first use: two commands out of three never serve a file.
var all = sync.OnceValue(load)

// URL is the address of an embedded file, e.g. URL("css/office.css"). A name
// that isn't there is a mistake of the programmer: it panics, and the markup
// tests find it.
func URL(name string) string {
	f, ok := all()[name]
	if !ok {
		panic(fmt.Sprintf("static: no file %q", name))
	}
	return Prefix + name + "?v=" + f.hash
}

// Bytes is the content of an embedded file as it is served. It panics as [URL] does.
func Bytes(name string) []byte {
	f, ok := all()[name]
	if !ok {
		panic(fmt.Sprintf("static: no file %q", name))
	}
	return f.body
}

// Version changes with the content of any embedded file.
func Version() string {
	sum := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(all())) {
		_, _ = fmt.Fprintln(sum, name, all()[name].hash) // a hash takes all
	}
	return hex.EncodeToString(sum.Sum(nil)[:8])
}

// Handler serves the embedded files below Prefix. It knows files, no folders,
// and answers anything else with 404.
func Handler() http.Handler {
	return http.StripPrefix(Prefix, http.HandlerFunc(serve))
}

func serve(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "method not allowed", http.StatusMethodNotAllowed)
		return
	}
	f, ok := all()[r.URL.Path]
	if !ok {
		http.NotFound(w, r)
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.kind)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("ETag", `"`+f.hash+`"`)
	h.Set("Vary", "Accept-Encoding")
	h.Set("Cache-Control", cacheFor(r, f))
	if match := r.Header.Get("If-None-Match"); strings.Contains(match, f.hash) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body := f.body
	if f.packed != nil && acceptsGzip(r) {
		h.Set("Content-Encoding", "gzip")
		body = f.packed
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if r.Method == http.MethodHead {
		return
	}
	_, _ = w.Write(body) // the browser hung up: nobody is left to tell
}

// cacheFor keeps a file for a year only under the hash of its content; fonts
// are asked for by style sheets without one and are kept for a day.
func cacheFor(r *http.Request, f file) string {
	if r.URL.Query().Get("v") == f.hash {
		return "public, max-age=31536000, immutable"
	}
	return "public, max-age=86400"
}

func acceptsGzip(r *http.Request) bool {
	for part := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if name == "gzip" {
			return strings.ReplaceAll(weight, " ", "") != "q=0"
		}
	}
	return false
}

// load panics on a fault: the files are part of the program.
func load() map[string]file {
	found := map[string]file{}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := files.ReadFile(name)
		if err != nil {
			return err
		}
		body = bare(name, body)
		sum := sha256.Sum256(body)
		found[name] = file{body: body, packed: pack(name, body), kind: kindOf(name), hash: hex.EncodeToString(sum[:8])}
		return nil
	})
	if err != nil {
		panic(fmt.Sprintf("static: read embedded files: %v", err))
	}
	return found
}

// bare makes our own scripts and style sheets short: comments, blanks and long names are
// for who reads the source. Vendored files stay as they are and keep their licence.
func bare(name string, body []byte) []byte {
	kind, _, _ := strings.Cut(kindOf(name), ";")
	if dir := path.Dir(name); dir != "css" && dir != "js" {
		return body
	}
	short, err := shorten.Bytes(kind, body)
	if errors.Is(err, minify.ErrNotExist) {
		return body // a picture
	}
	if err != nil {
		panic(fmt.Sprintf("static: shorten %s: %v", name, err))
	}
	return short
}

var shorten = func() *minify.M {
	m := minify.New()
	m.AddFunc("text/css", css.Minify)
	m.AddFunc("text/javascript", js.Minify)
	return m
}()

// pack compresses text. A woff2 is compressed already.
func pack(name string, body []byte) []byte {
	if !slices.Contains([]string{".css", ".js", ".svg", ".txt"}, path.Ext(name)) {
		return nil
	}
	var buf bytes.Buffer
	zw, err := gzip.NewWriterLevel(&buf, gzip.BestCompression)
	if err != nil {
		panic(fmt.Sprintf("static: compress %s: %v", name, err))
	}
	if _, err := zw.Write(body); err != nil {
		panic(fmt.Sprintf("static: compress %s: %v", name, err))
	}
	if err := zw.Close(); err != nil {
		panic(fmt.Sprintf("static: compress %s: %v", name, err))
	}
	if buf.Len() >= len(body) {
		return nil
	}
	return buf.Bytes()
}

// kindOf does not ask the machine's own table of types, which differs.
func kindOf(name string) string {
	switch path.Ext(name) {
	case ".css":
		return "text/css; charset=utf-8"
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".woff2":
		return "font/woff2"
	case ".svg":
		return "image/svg+xml"
	case ".txt":
		return "text/plain; charset=utf-8"
	}
	if kind := mime.TypeByExtension(path.Ext(name)); kind != "" {
		return kind
	}
	return "application/octet-stream"
}

// Typeface gives the two weights of the typeface as TrueType, for what the program sets
// itself.
func Typeface() (regular, bold []byte) {
	const of = "fonts/atkinson-hyperlegible-next-"
	return all()[of+"regular.ttf"].body, all()[of+"bold.ttf"].body
}
