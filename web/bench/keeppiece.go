package bench

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"scumble/internal/restoration"
	"scumble/web"
)

// keptPath is where the pages of a piece come in one answer, below which the piece is named
// as on its own page.
const keptPath = "/keep"

// keepPiece answers a tablet that keeps a piece: its page and those named by act, by what is
// put behind the piece's path. What they share is loaded once, which makes them five times
// as cheap as one by one. A page that leads elsewhere just now is left out.
func (b *Bench) keepPiece(w http.ResponseWriter, r *http.Request) error {
	in, err := b.pieceInput(r)
	if err != nil {
		return err
	}
	filmed := in
	if err := b.loadFilm(r, &filmed); err != nil {
		return err
	}
	pages := map[string]string{}
	for _, act := range append([]string{""}, r.URL.Query()["act"]...) {
		if act != "" && !slices.Contains(keptActs, act) {
			return restoration.Problemf(restoration.TroubleInvalid, "", "There is no page %q of a piece.", act)
		}
		var page sheet
		if err := b.drawKept(&page, r, act, in, filmed); err != nil {
			return err
		}
		if page.status == http.StatusOK {
			pages[act] = page.body.String()
		}
	}
	findable(w, r, in.Piece.Label, in.heading())
	w.Header().Set("Content-Type", "application/json")
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false) // it is mostly that
	return out.Encode(pages)
}

// drawKept draws one of the pages; filmed is in with what is known of the finish.
func (b *Bench) drawKept(w http.ResponseWriter, r *http.Request, act string, in, filmed pieceInput) error {
	name, query, _ := strings.Cut(strings.TrimPrefix(act, "/"), "?")
	form, err := url.ParseQuery(query)
	if err != nil {
		return err
	}
	switch {
	case name == "":
		return web.Render(w, r, http.StatusOK, piecePage(b.pieceView(r, filmed)))
	case act == photosPath:
		return b.drawPhotos(w, r, in.Piece.ID, form, "")
	case filmTitles[name] != "":
		return b.renderFilm(w, r, name, filmed, form, nil)
	}
	return b.renderAct(w, r, name, filmed, form, nil)
}

// sheet takes an answer, to be put into another one.
type sheet struct {
	status int
	body   bytes.Buffer
	header http.Header
}

func (s *sheet) Header() http.Header {
	if s.header == nil {
		s.header = http.Header{}
	}
	return s.header
}

func (s *sheet) WriteHeader(status int)         { s.status = status }
func (s *sheet) Write(part []byte) (int, error) { return s.body.Write(part) }
