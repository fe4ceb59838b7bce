package bench

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"hash"
	"hash/fnv"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// keepHeader marks what the tablet's worker fetches to keep it: nobody looks at it now, so
// that nothing is told with it that is told once.
const keepHeader = "Scumble-Keep"

// codeHeader and aboutHeader give a label's code and the words by which the worker finds
// the page of a piece or a place; the words percent-encoded.
const (
	codeHeader  = "Scumble-Code"
	aboutHeader = "Scumble-About"
)

func quietly(r *http.Request) bool { return r.Header.Get(keepHeader) != "" }

// findable tells the worker by what it finds the page that it keeps.
func findable(w http.ResponseWriter, r *http.Request, code, about string) {
	if quietly(r) {
		w.Header().Set(codeHeader, code)
		w.Header().Set(aboutHeader, url.PathEscape(about))
	}
}

// Of each list keptFirst pieces come before all others: what a day's work needs. No
// tablet is told of more than keptPieces; how many it has room for is its own affair.
const (
	keptFirst  = drawnOfShop
	keptPieces = 1000
)

// keptActs are the pages below a piece's own on which something is entered.
var keptActs = []string{"/note", "/back", "/back?defect=" + restoration.DefectOther, "/time", "/coat", "/cut", "/measure", photosPath,
	"/move", "/hold", "/skip", "/early", "/grade"}

// keptBatches is how many groups that can be sprayed together a tablet keeps, keptPlaces
// of how many places, those that hold most.
const (
	keptBatches = 20
	keptPlaces  = 200
)

// toKeep is a page that the tablet is to keep, with those below it. They are as they were
// while the tag is the same.
type toKeep struct {
	Path string   `json:"path"`
	Acts []string `json:"acts,omitempty"` // what is put behind the path for each page below
	Tag  string   `json:"tag"`
}

// keepList is what a tablet is to keep, what is needed first in front.
type keepList struct {
	Person string   `json:"person"`
	Pieces int      `json:"pieces"` // of the cars that are not delivered
	Pages  []toKeep `json:"pages"`
}

// listToKeep tells the tablet's worker what to fetch: the lists, the pieces that are
// likeliest to be worked on, batches and places, then the other pieces car by car, and
// those that are finished behind all others.
func (b *Bench) listToKeep(w http.ResponseWriter, r *http.Request) error {
	v := visitOf(r)
	spray, batches, err := b.batches(r.Context())
	if err != nil {
		return err
	}
	places, err := b.shop.PlaceUses(r.Context())
	if err != nil {
		return err
	}
	tags, err := b.tagsOfPieces(r.Context(), v, spray, places)
	if err != nil {
		return err
	}
	pieces, err := b.piecesOfShop(r.Context(), v, tags)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(keepList{Person: strconv.FormatInt(v.person.ID, 10), Pieces: pieces.n,
		Pages: slices.Concat(listsToKeep(pieces.whole), pieces.soon, batchesToKeep(batches), placesToKeep(places), pieces.later)})
}

// shopPieces are the pages of pieces that a tablet is to keep.
type shopPieces struct {
	n           int    // pieces of the shop
	whole       string // what the lists show
	soon, later []toKeep
}

// piecesOfShop arranges the pieces of the whole shop, as the lists do, and waits its turn
// among them.
func (b *Bench) piecesOfShop(ctx context.Context, v visit, tags pieceTags) (p shopPieces, err error) {
	if err := b.sorting.Acquire(ctx, 1); err != nil {
		return p, err
	}
	defer b.sorting.Release(1)
	in := listInput{Person: v.person.ID, Now: b.now(), Loc: v.shop.Location()}
	if in.Keys, err = b.shop.WorkKeys(ctx); err != nil {
		return p, err
	}
	finished, err := b.shop.FinishedKeys(ctx)
	if err != nil {
		return p, err
	}
	order := piecesToKeep(in, finished)
	if tags.changes, err = b.changesOf(ctx, order.told()); err != nil {
		return p, err
	}
	tags.grained = grainedOf(in.Keys, finished)
	return pagesOfPieces(order, tags), nil
}

// listsToKeep are the lists, which change with every piece, and pages that never do.
func listsToKeep(whole string) []toKeep {
	return []toKeep{{Path: "/bench", Tag: whole}, {Path: "/bench/waiting", Tag: whole}, {Path: "/bench/hand", Tag: whole},
		{Path: ui.BenchNotTakenPath, Tag: "1"}, {Path: ui.BenchScanPath, Tag: "1"}, {Path: ui.BenchFindPath, Tag: "1"}}
}

// mayAsk tells whether a page of a piece asks for something that can be said of it now.
func mayAsk(act string, k *restoration.WorkKey, now time.Time) bool {
	switch act {
	case "/time", "/coat", "/cut", "/skip":
		return k.Stage != "" // a finished piece has no step for it
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
			pages = append(pages, toKeep{Path: togetherPath + "/" + url.PathEscape(g.Key), Tag: sumOf(tag)})
		}
	}
	return append([]toKeep{{Path: togetherPath, Tag: sumOf(all)}}, pages...)
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
			pages = append(pages, toKeep{Path: placePath(u.ID), Acts: []string{"/put"}, Tag: sumOf(tag)})
		}
	}
	return append([]toKeep{{Path: placesPath, Tag: sumOf(all)}}, pages...)
}

// keepOrder is the pieces of the shop in the order in which a tablet keeps them: those
// that the person is likeliest to work on (what is in hand, what is next, what waits, the
// first of each), all others with work left car by car, and so those that are finished.
type keepOrder struct{ soon, later, finished []restoration.ListItem }

func piecesToKeep(in listInput, finished []restoration.WorkKey) (o keepOrder) {
	listed := map[restoration.ID]bool{}
	mine, _ := in.inHand()
	for _, list := range [][]restoration.ListItem{mine, restoration.ReadyNow(in.Keys, in.Now), restoration.WaitingFor(in.Keys, in.Now)} {
		for _, item := range list[:min(len(list), keptFirst)] {
			if !listed[item.PieceID] {
				listed[item.PieceID] = true
				o.soon = append(o.soon, item)
			}
		}
	}
	o.later = slices.DeleteFunc(restoration.CarByCar(in.Keys), func(i restoration.ListItem) bool { return listed[i.PieceID] })
	o.finished = restoration.CarByCar(finished)
	return o
}

func (o keepOrder) all() []restoration.ListItem { return slices.Concat(o.soon, o.later, o.finished) }

// told are the pieces that a tablet is told of.
func (o keepOrder) told() (ids []restoration.ID) {
	all := o.all()
	for _, item := range all[:min(len(all), keptPieces)] {
		ids = append(ids, item.PieceID)
	}
	return ids
}

// pagesOfPieces lists the pages of the pieces that a tablet is told of, and sums up what the
// lists show of all that have work left.
func pagesOfPieces(o keepOrder, tags pieceTags) shopPieces {
	all, whole := o.all(), fnv.New64a()
	pages := make([]toKeep, 0, min(len(all), keptPieces))
	for i, item := range all {
		var shown string
		if len(pages) < cap(pages) {
			shown = tags.onList(item.WorkKey)
			pages = append(pages, toKeep{Path: piecePath(item.PieceID), Acts: actsToKeep(item.WorkKey, tags.now), Tag: tags.of(item.WorkKey, shown)})
		} else { // a list draws none of these; it counts them
			shown = fmt.Sprint(item.Footing(tags.now), min(item.HandBy, 1))
		}
		if i < len(o.soon)+len(o.later) {
			_, _ = io.WriteString(whole, shown) // a hash takes all
		}
	}
	n := min(len(o.soon), len(pages))
	return shopPieces{n: len(all), whole: sumOf(whole), soon: pages[:n], later: pages[n:]}
}

func actsToKeep(k *restoration.WorkKey, now time.Time) []string {
	return slices.DeleteFunc(slices.Clone(keptActs), func(act string) bool { return !mayAsk(act, k, now) })
}

func sumOf(h hash.Hash64) string { return strconv.FormatUint(h.Sum64(), 36) }
