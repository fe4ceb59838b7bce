package bench

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// findView is the page that types a label's code.
type findView struct {
	Page ui.PageProps
	Code ui.FieldProps
}

// find leads from a label's code to its piece, or says why it can't.
func (b *Bench) find(w http.ResponseWriter, r *http.Request) error {
	typed := scanned(r.URL.Query().Get("code"))
	if typed == "" {
		return web.Render(w, r, http.StatusOK, findPage(b.findView(r, "", "")))
	}
	piece, err := b.findLabel(r, typed)
	if p, ok := restoration.AsProblem(err); ok && p.Trouble != restoration.TroubleUnavailable {
		return web.Render(w, r, http.StatusNotFound, findPage(b.findView(r, typed, p.Message)))
	}
	if err != nil {
		return err
	}
	return web.SeeOther(w, r, piecePath(piece.ID))
}

func (b *Bench) findLabel(r *http.Request, typed string) (restoration.Piece, error) {
	label, err := restoration.CheckLabel(typed)
	if err != nil {
		return restoration.Piece{}, err
	}
	piece, err := b.shop.FindPieceByLabel(r.Context(), label)
	if err == nil && !piece.Removed.IsZero() {
		err = removed(piece, visitOf(r).shop.Location())
	}
	return piece, err
}

// removed says that a piece left the list, and when.
func removed(p restoration.Piece, loc *time.Location) error {
	return restoration.Problemf(restoration.TroubleNotFound, "",
		"%s was taken off its car's list on %s. Ask the owner before you work on it.", p.Name, ui.Day(p.Removed, loc))
}

func (b *Bench) findView(r *http.Request, typed, fault string) findView {
	page := b.frame(r, "Find a piece")
	page.Back, page.BackWord = "/bench", "Ready now"
	return findView{Page: page, Code: ui.FieldProps{Name: "code", Label: "Code on the label", Value: typed, Error: fault,
		Hint: "5 characters", MaxLen: 12, Required: true, Width: "mid"}}
}

// scanned takes the code out of what a scanner types: the code itself, or an address
// that ends in it.
func scanned(s string) string {
	s = strings.TrimSpace(s)
	if u, err := url.Parse(s); err == nil && u.Query().Get("code") != "" {
		return u.Query().Get("code")
	}
	return s
}
