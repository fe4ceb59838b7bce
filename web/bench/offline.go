package bench

import (
	"cmp"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/static"
	"scumble/web"
	"scumble/web/ui"
)

// keepHeader marks what the tablet's worker fetches to keep it: nobody looks at it now, so
// that nothing is told with it that is told once.
const keepHeader = "Scumble-Keep"

// codeHeader gives the label's code with a piece's page, by which the worker finds it.
const codeHeader = "Scumble-Code"

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
	"js/record.js", "js/outbox.js", "js/unsent.js", "js/clocks.js", "js/pages.js", "js/bench.js", "js/copy.js",
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

// keptPieces is how many pieces a tablet keeps: what a day's work needs.
const keptPieces = 40

// keptActs are the pages of a piece on which something is entered.
var keptActs = []string{"", "/note", "/back", "/back?defect=" + restoration.DefectOther, "/time", "/coat", "/cut", "/measure", photosPath,
	"/move", "/hold", "/skip", "/early", "/grade"}

// keptBatches is how many groups that can be sprayed together a tablet keeps, keptPlaces
// of how many places, those that hold most.
const (
	keptBatches = 20
	keptPlaces  = 24
)

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
	_, batches, err := b.batches(r.Context())
	if err != nil {
		return err
	}
	places, err := b.shop.PlaceUses(r.Context())
	if err != nil {
		return err
	}
	in := listInput{Which: "ready", Keys: keys, Person: v.person.ID, Now: b.now(), Loc: v.shop.Location()}
	pages := slices.Concat(pagesToKeep(in, v.timers), batchesToKeep(batches), placesToKeep(places))
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(struct {
		Person string   `json:"person"`
		Pages  []toKeep `json:"pages"`
	}{strconv.FormatInt(v.person.ID, 10), pages})
}

// mayAsk tells whether a page of a piece asks for something that can be said of it now.
func mayAsk(act string, k *restoration.WorkKey, now time.Time) bool {
	switch act {
	case "/early":
		return k.Footing(now) == restoration.FootWaiting
	case "/grade":
		return slices.Contains([]restoration.Look{restoration.LookBare, restoration.LookStripped, restoration.LookRepaired}, k.Look)
	}
	return true
}

// batchesToKeep lists the pages of what can be sprayed together.
func batchesToKeep(batches []restoration.Batch) []toKeep {
	var pages []toKeep
	all := fnv.New64a()
	for i, g := range batches {
		tag := fnv.New64a()
		_, _ = fmt.Fprintf(tag, "%s %d %d %v %v %v", g.Key, g.Ready, g.Shut, g.NeedML, g.From, g.Shuts) // a hash takes all
		for _, p := range g.Pieces {
			_, _ = fmt.Fprint(tag, p.StepID, p.From, p.First)
		}
		_, _ = all.Write(tag.Sum(nil))
		if i < keptBatches {
			pages = append(pages, toKeep{togetherPath + "/" + url.PathEscape(g.Key), strconv.FormatUint(tag.Sum64(), 36)})
		}
	}
	return append([]toKeep{{togetherPath, strconv.FormatUint(all.Sum64(), 36)}}, pages...)
}

// placesToKeep lists the pages of places, those first that hold most.
func placesToKeep(uses []restoration.PlaceUse) []toKeep {
	uses = slices.DeleteFunc(slices.Clone(uses), func(u restoration.PlaceUse) bool { return !u.RetiredAt.IsZero() })
	slices.SortStableFunc(uses, func(a, b restoration.PlaceUse) int { return cmp.Compare(b.Lying, a.Lying) })
	all := fnv.New64a()
	var pages []toKeep
	for i, u := range uses {
		tag := fnv.New64a()
		_, _ = fmt.Fprintln(tag, u.ID, u.Name, u.Holds, u.Lying) // a hash takes all
		_, _ = all.Write(tag.Sum(nil))
		if i < keptPlaces {
			is := strconv.FormatUint(tag.Sum64(), 36)
			pages = append(pages, toKeep{placePath(u.ID), is}, toKeep{putPath(u.Place), is})
		}
	}
	return append([]toKeep{{placesPath, strconv.FormatUint(all.Sum64(), 36)}}, pages...)
}

// piecesToKeep lists what is in hand, what is next, what waits and what else there is, such
// as what is held, in that order.
func piecesToKeep(in listInput) []restoration.ListItem {
	mine, others := in.inHand()
	items := slices.Concat(mine, restoration.ReadyNow(in.Keys, in.Now), restoration.WaitingFor(in.Keys, in.Now), others)
	listed := map[restoration.ID]bool{}
	for _, item := range items {
		listed[item.PieceID] = true
	}
	var rest []restoration.ListItem
	for i := range in.Keys {
		if !listed[in.Keys[i].PieceID] {
			rest = append(rest, restoration.ListItem{WorkKey: &in.Keys[i]})
		}
	}
	slices.SortFunc(rest, func(a, b restoration.ListItem) int { return slices.Compare(a.PieceID[:], b.PieceID[:]) }) // they come in none
	return append(items, rest...)
}

// pagesToKeep lists the lists, and the pages of pieces with the person's clocks on them.
func pagesToKeep(in listInput, timers []restoration.Timer) []toKeep {
	items := piecesToKeep(in)
	shop := fnv.New64a()
	var pieces []toKeep
	for i, item := range items {
		tag := fnv.New64a()
		key := *item.WorkKey
		car := *key.Car
		key.Car = nil
		_, _ = fmt.Fprintf(tag, "%+v %+v %v", key, car, item.Ready(in.Now)) // a hash takes all
		for _, t := range timers {
			if t.PieceID == item.PieceID {
				_, _ = fmt.Fprint(tag, t.StepID, t.Running, t.Spans)
			}
		}
		_, _ = shop.Write(tag.Sum(nil))
		for _, act := range keptActs {
			if i < keptPieces && mayAsk(act, item.WorkKey, in.Now) {
				pieces = append(pieces, toKeep{piecePath(item.PieceID) + act, strconv.FormatUint(tag.Sum64(), 36)})
			}
		}
	}
	whole := strconv.FormatUint(shop.Sum64(), 36)
	return append([]toKeep{{"/bench", whole}, {"/bench/waiting", whole}, {"/bench/hand", whole}, {ui.BenchNotTakenPath, "1"},
		{ui.BenchScanPath, "1"}, {ui.BenchFindPath, "1"}}, pieces...)
}
