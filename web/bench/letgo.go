package bench

import (
	"encoding/json"
	"io"
	"net/http"
	"strings"

	"github.com/go-chi/chi/v5"

	"scumble/web"
)

// letGoPath notes that a refused entry is let go, below where the bench is mounted.
const letGoPath = "/letgo"

// maxLetGo is what a tablet may say of an entry, in bytes.
const maxLetGo = 4 << 10

func (b *Bench) letGoRoutes(r chi.Router) {
	r.Get("/nottaken", b.handle(b.showNotTaken))
	r.Post(letGoPath, b.handle(b.letGo))
}

// showNotTaken is the frame of what the tablet holds; the page's script fills it in.
func (b *Bench) showNotTaken(w http.ResponseWriter, r *http.Request) error {
	page := b.frame(r, "Not taken")
	list := b.lastList(r)
	page.Back, page.BackWord = list.Href, listTitles[list.Which]
	return web.Render(w, r, http.StatusOK, notTakenPage(page))
}

// letGo takes {"id": …, "says": …} of an entry whose author gives it up.
func (b *Bench) letGo(w http.ResponseWriter, r *http.Request) error {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxLetGo))
	if err != nil {
		web.WriteProblem(w, bodyStatus(err), "This is longer than 4 kB. Say it in fewer words.")
		return nil
	}
	var wire struct{ ID, Says string }
	if json.Unmarshal(body, &wire) != nil {
		web.WriteProblem(w, http.StatusBadRequest, `Send {"id": …, "says": …}.`)
		return nil
	}
	id, err := parseID("id", wire.ID, true)
	if err != nil {
		web.WriteProblem(w, http.StatusBadRequest, err.Error())
		return nil
	}
	if err := b.shop.LetGo(r.Context(), visitOf(r).actor(), id, clean(strings.TrimSpace(wire.Says))); err != nil {
		return err
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}
