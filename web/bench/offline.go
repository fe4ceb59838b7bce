package bench

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"github.com/go-chi/chi/v5"

	"scumble/static"
	"scumble/web"
	"scumble/web/ui"
)

// awayPath is shown where a page is not kept; every tablet may have it.
const awayPath = "/bench/away"

func (b *Bench) offlineRoutes(r chi.Router) {
	r.Get("/sw.js", serveWorker)
	r.Get("/app.webmanifest", serveManifest)
	for _, side := range iconSides {
		r.Get("/icon-"+strconv.Itoa(side)+".png", serveIcon(side))
	}
	r.Get("/away", b.handle(b.showAway))
}

// shellFiles are what every page of the bench needs.
var shellFiles = []string{
	"css/base.css", "css/bench.css", "css/mark.svg", "vendor/idb.umd.js",
	"js/cautions.js", "js/record.js", "js/outbox.js", "js/unsent.js", "js/clocks.js", "js/pages.js", "js/bench.js", "js/asof.js", "js/copy.js", "js/found.js",
}

// awayFiles, scanFiles, filmFiles and photoFiles are needed by the pages away and Not taken,
// by the one that scans, and by pages of the film and of photos besides.
var (
	awayFiles  = []string{"js/away.js", "css/held.css"}
	scanFiles  = []string{"css/labels.css", "js/scan.js", "vendor/jsqr.min.js"}
	filmFiles  = []string{"css/film.css", "css/bench-film.css", "js/bench-film.js"}
	photoFiles = []string{"css/photo.css", "js/photo.js"}
)

var fontFiles = []string{
	"fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2", "fonts/atkinson-hyperlegible-next-latin-ext-wght-normal.woff2",
}

// shell lists the addresses that a worker keeps as long as it lives.
func shell() []string {
	var list []string
	for _, name := range slices.Concat(shellFiles, awayFiles, scanFiles, filmFiles, photoFiles) {
		list = append(list, static.URL(name))
	}
	for _, name := range fontFiles {
		list = append(list, static.Prefix+name) // as the style sheet asks for them
	}
	return list
}

// serveWorker serves the worker with its version in front: any change of a file makes it
// another worker, which brings its own files.
func serveWorker(w http.ResponseWriter, _ *http.Request) {
	list, err := json.Marshal(shell())
	if err != nil { // text can always be written
		panic(err)
	}
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Service-Worker-Allowed", "/bench")
	_, _ = fmt.Fprintf(w, "const VERSION = %q;\nconst SHELL = %s;\n%s", static.Version(), list, static.Bytes("js/sw.js"))
}

func (b *Bench) showAway(w http.ResponseWriter, r *http.Request) error {
	return web.Render(w, r, http.StatusOK, awayPage(ui.PageProps{Title: "No network", Demo: b.demo}))
}
