package bench

import (
	"encoding/json"
	"fmt"
	"hash/fnv"
	"net/http"
	"slices"
	"strconv"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/static"
	"scumble/web"
	"scumble/web/ui"
)

// keepHeader marks what the tablet's worker fetches to keep it: nobody looks at it now, so
// that nothing is told with it that is told once.
const keepHeader = "Scumble-Keep"

func quietly(r *http.Request) bool { return r.Header.Get(keepHeader) != "" }

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
	"js/outbox.js", "js/unsent.js", "js/pages.js", "js/bench.js", "js/copy.js",
}

// filmFiles and photoFiles are needed by pages of the film and of photos besides.
var (
	filmFiles  = []string{"css/film.css", "css/bench-film.css", "js/bench-film.js"}
	photoFiles = []string{"css/photo.css", "js/photo.js"}
)

var fontFiles = []string{
	"fonts/atkinson-hyperlegible-next-latin-wght-normal.woff2", "fonts/atkinson-hyperlegible-next-latin-ext-wght-normal.woff2",
}

// shell lists the addresses that a worker keeps as long as it lives.
func shell() []string {
	var list []string
	for _, name := range slices.Concat(shellFiles, filmFiles, photoFiles) {
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

// keptPieces is how many pieces a tablet keeps: what a day's work needs.
const keptPieces = 40

// keptActs are the pages of a piece on which something is entered.
var keptActs = []string{"", "/note", "/back", "/back?defect=" + restoration.DefectOther, "/time", "/coat", "/cut", "/measure", photosPath}

// toKeep is one page that the tablet is to keep. It is as it was while the tag is the same.
type toKeep struct {
	Path string `json:"path"`
	Tag  string `json:"tag"`
}

// listToKeep tells the tablet's worker what to fetch: the lists, and the pages of the
// pieces that are likeliest to be worked on.
func (b *Bench) listToKeep(w http.ResponseWriter, r *http.Request) error {
	v := visitOf(r)
	keys, err := b.shop.WorkKeys(r.Context())
	if err != nil {
		return err
	}
	in := listInput{Which: "ready", Keys: keys, Person: v.person.ID, Now: b.now(), Loc: v.shop.Location()}
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(struct {
		Person string   `json:"person"`
		Pages  []toKeep `json:"pages"`
	}{strconv.FormatInt(v.person.ID, 10), pagesToKeep(in)})
}

// pagesToKeep lists what is in hand, what is next and what waits, in that order.
func pagesToKeep(in listInput) []toKeep {
	mine, others := in.inHand()
	var items []restoration.ListItem
	for _, list := range [][]restoration.ListItem{mine, restoration.ReadyNow(in.Keys, in.Now), restoration.WaitingFor(in.Keys, in.Now), others} {
		items = append(items, list...)
	}
	shop := fnv.New64a()
	var pieces []toKeep
	for i, item := range items {
		tag := fnv.New64a()
		key := *item.WorkKey
		car := *key.Car
		key.Car = nil
		_, _ = fmt.Fprintf(tag, "%+v %+v %v", key, car, item.Ready(in.Now)) // a hash takes all
		_, _ = shop.Write(tag.Sum(nil))
		for _, act := range keptActs {
			if i < keptPieces {
				pieces = append(pieces, toKeep{piecePath(item.PieceID) + act, strconv.FormatUint(tag.Sum64(), 36)})
			}
		}
	}
	whole := strconv.FormatUint(shop.Sum64(), 36)
	return append([]toKeep{{"/bench", whole}, {"/bench/waiting", whole}, {"/bench/hand", whole}, {ui.BenchNotTakenPath, "1"}}, pieces...)
}
