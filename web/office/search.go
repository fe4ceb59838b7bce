package office

import (
	"net/http"
	"strings"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// maxHits is how much a search shows; who gets as many types another word.
const maxHits = 50

// searchPage is what a search found.
type searchPage struct {
	Page  ui.PageProps
	Query string
	Hits  []hitLine
	Full  bool // there may be more
}

// hitLine is one car or piece that was found.
type hitLine struct {
	Href  string
	Title string
	Where string
}

// search finds cars and pieces by what is typed. A word that finds one thing alone
// opens it.
func (o *Office) search(w http.ResponseWriter, r *http.Request) error {
	q := strings.TrimSpace(r.URL.Query().Get("q"))
	var hits []restoration.Hit
	if q != "" {
		var err error
		if hits, err = o.shop.Search(r.Context(), q, maxHits); err != nil {
			return err
		}
	}
	p := newSearchPage(q, hits)
	if len(p.Hits) == 1 {
		return web.SeeOther(w, r, p.Hits[0].Href)
	}
	p.Page = o.page(r, ui.PageProps{Title: "Search", Query: q})
	return web.Render(w, r, http.StatusOK, searchView(p))
}

func newSearchPage(q string, hits []restoration.Hit) searchPage {
	p := searchPage{Query: q, Full: len(hits) >= maxHits}
	for _, h := range hits {
		line := hitLine{Href: carPath(h.WorkOrder), Title: h.Car, Where: joinWords("work order "+h.WorkOrder, h.Customer)}
		if !h.PieceID.IsZero() {
			line = hitLine{Href: piecePath(h.PieceID), Title: h.Title(), Where: joinWords(h.Label, string(h.Zone), h.WorkOrder, h.Car)}
		}
		p.Hits = append(p.Hits, line)
	}
	return p
}
