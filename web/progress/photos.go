package progress

import (
	"net/http"
	"slices"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// photosShown is how many photos the page shows at most, the newest first.
const photosShown = 24

// photoLine is a photo as the customer sees it: no person, no file, no note.
type photoLine struct {
	Small, Large  string
	Width, Height int // of the small one
	Piece, Plain  string
	Day           string
}

func photoLines(f facts, loc *time.Location) []photoLine {
	var lines []photoLine
	for _, p := range slices.Backward(f.photos) {
		if len(lines) == photosShown {
			break
		}
		at := f.address + "/photos/" + p.Photo
		lines = append(lines, photoLine{Small: at + "/small", Large: at, Width: p.SmallWidth, Height: p.SmallHeight,
			Piece: p.Piece, Plain: shows(p), Day: ui.Day(p.At, loc)})
	}
	return lines
}

// shows says in everyday words what is to be seen on a photo.
func shows(p restoration.PiecePhoto) string {
	if p.StageLook == restoration.LookBare {
		return "as it came to the shop"
	}
	return plain(p.StageLook)
}

// picture serves what the owner lets the customer of this link see, and to nobody for
// longer than that: no cache may keep it.
func (p *Progress) picture(small bool) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		id, err := photos.ParseID(chi.URLParam(r, "photo"))
		if err != nil {
			return errNoLink
		}
		jpeg, err := p.shop.FindSharedPicture(r.Context(), access.HashToken(chi.URLParam(r, "token")), id, small)
		if problem, ok := restoration.AsProblem(err); ok && problem.Trouble == restoration.TroubleNotFound {
			return errNoLink
		}
		if err != nil {
			return err
		}
		return web.WritePicture(w, jpeg)
	}
}
