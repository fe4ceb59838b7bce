package bench

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// foundAtMost is how many pieces are drawn to pick from.
const foundAtMost = 40

// longestTyped is what the field holds, in characters; a scanner may read more.
const longestTyped = 60

// findView is the page that finds a piece by its code, or by words.
type findView struct {
	Page    ui.PageProps
	Code    ui.FieldProps
	Schemes []ui.Scheme
	Tiles   []tile
	More    bool // there may be others
}

// find leads from a label's code to its piece; what is no code is looked for among the
// pieces of open cars, to pick from.
func (b *Bench) find(w http.ResponseWriter, r *http.Request) error {
	typed := strings.TrimSpace(r.URL.Query().Get("code"))
	if typed == "" {
		return web.Render(w, r, http.StatusOK, findPage(b.findView(r, "", "")))
	}
	if code, ok := placeCode(typed); ok {
		return b.scannedPlace(w, r, code)
	}
	piece, car, err := b.findLabel(r, typed)
	if err == nil {
		if put, ok := putsAt(b.cameFrom(r)); ok {
			return web.SeeOther(w, r, put+"?code="+piece.Label)
		}
		b.tellOther(r, car)
		return web.SeeOther(w, r, piecePath(piece.ID))
	}
	problem, ok := restoration.AsProblem(err)
	if !ok || problem.Trouble == restoration.TroubleUnavailable {
		return err
	}
	if !piece.ID.IsZero() || labels.IsAddress(typed) || r.URL.Query().Has("scanned") {
		return b.notFound(w, r, typed, problem.Message)
	}
	return b.findWords(w, r, typed, problem.Message)
}

// findWords draws the pieces that typed may mean. noCode says why it is no piece's
// code.
func (b *Bench) findWords(w http.ResponseWriter, r *http.Request, typed, noCode string) error {
	hits, err := b.shop.FindPieces(r.Context(), typed, foundAtMost)
	if err != nil {
		return err
	}
	if len(hits) == 0 {
		return b.notFound(w, r, typed, nothingFound(typed, noCode))
	}
	ids := make([]restoration.ID, len(hits))
	for i, h := range hits {
		ids[i] = h.PieceID
	}
	work, err := b.shop.WorkOf(r.Context(), ids)
	if err != nil {
		return err
	}
	view := b.findView(r, typed, "")
	view.Tiles, view.More = foundTiles(hits, work, b.now(), visitOf(r).shop.Location()), len(hits) == foundAtMost
	for _, t := range work {
		view.Schemes = append(view.Schemes, scheme(t.Car))
	}
	return web.Render(w, r, http.StatusOK, findPage(view))
}

// notFound says at the field why nothing was found, on the page that it came from.
func (b *Bench) notFound(w http.ResponseWriter, r *http.Request, typed, says string) error {
	if refererPath(r) == ui.BenchScanPath {
		return b.scanAgain(w, r, labels.Shortened(typed, longestTyped), says)
	}
	return web.Render(w, r, http.StatusNotFound, findPage(b.findView(r, labels.Shortened(typed, longestTyped), says)))
}

// nothingFound says why nothing was found: what looks like a code was perhaps mistyped.
func nothingFound(typed, noCode string) string {
	if len(typed) <= 7 && !strings.Contains(typed, " ") {
		return noCode
	}
	return "No piece of an open car is called so. Type fewer words, or the code on the label."
}

// foundTiles draws what was found, in its order. A piece without work is finished.
func foundTiles(hits []restoration.Hit, work []restoration.Work, now time.Time, loc *time.Location) []tile {
	tiles := make([]tile, len(hits))
	for i, h := range hits {
		at := slices.IndexFunc(work, func(w restoration.Work) bool { return w.Piece.ID == h.PieceID })
		if at < 0 {
			tiles[i] = tile{Name: h.Title(), Car: h.WorkOrder + " · " + h.Car, Href: piecePath(h.PieceID), Why: "nothing left to do"}
			continue
		}
		tiles[i] = tileOf(work[at])
		tiles[i].Why, tiles[i].Who = stands(work[at], now, loc)
	}
	return tiles
}

// stands says in a few words where a piece stands, and who has it in hand.
func stands(w restoration.Work, now time.Time, loc *time.Location) (why, who string) {
	gate := w.Piece.Sum.GateFrom
	switch {
	case w.Piece.Holding != nil:
		return "held: " + w.Piece.Holding.Reason, ""
	case w.Car.State == restoration.CarOnHold:
		return "held: the car is on hold", ""
	case w.HandBy != 0:
		return "in hand since " + ui.Clock(w.HandSince, now, loc), w.HandName
	case gate.After(now):
		return notBefore(gate, now, loc), ""
	}
	return "ready now", ""
}

// removed says that a piece left the list, and when.
func removed(p restoration.Piece, loc *time.Location) error {
	return restoration.Problemf(restoration.TroubleNotFound, "",
		"%s was taken off its car's list on %s. Ask the owner before you work on it.", p.Name, ui.Day(p.Removed, loc))
}

func (b *Bench) findView(r *http.Request, typed, fault string) findView {
	page := b.frame(r, "Find a piece")
	page.Back, page.BackWord = "/bench", "Ready now"
	return findView{Page: page, Code: ui.FieldProps{Name: "code", Label: "Code, piece or car", Value: typed, Error: fault,
		Hint: "The 5 signs on the label, a place's 6, or words such as door capping 26-014", MaxLen: longestTyped, Required: true}}
}
