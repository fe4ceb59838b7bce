package bench

import (
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
)

// cautionView is the cautions of a stage, to be read before the first work of the day.
type cautionView struct {
	Stage  string
	List   []restoration.Caution
	Action string // the form's address
	Then   string // where one goes on to
}

// cautionsDue gives the cautions of a stage with its material, unless the person has read
// those of the stage today.
func cautionsDue(in pieceInput, stage restoration.Stage) *cautionView {
	if len(stage.Cautions) == 0 || !restoration.CautionDue(in.Film.Seen[stage.Name], in.Now, in.Loc) {
		return nil
	}
	var m *restoration.Material
	if step, ok := nextStep(in.Piece); ok {
		m = in.chooseMaterial(step, stage)
	}
	return &cautionView{Stage: stage.Name, List: restoration.CautionsFor(stage, m), Action: "/bench/cautions", Then: piecePath(in.Piece.ID)}
}

// readCautions notes that the person has read the cautions of a stage, and leads on.
func (b *Bench) readCautions(w http.ResponseWriter, r *http.Request) error {
	stage := clean(r.PostFormValue("stage"))
	if stage == "" || len(stage) > 4*restoration.MaxName {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This form can't be read. Go back and send it again.")
	}
	if err := b.shop.SeeCautions(r.Context(), visitOf(r).actor(), stage); err != nil {
		return err
	}
	return web.SeeOther(w, r, onBench(r.PostFormValue("then")))
}

// onBench keeps whoever is led on to a page of the bench.
func onBench(then string) string {
	u, err := url.Parse(then)
	if err != nil || u.Host != "" || u.Scheme != "" || u.Path != path.Clean(u.Path) || !strings.HasPrefix(u.Path, "/bench/") {
		return "/bench"
	}
	return u.EscapedPath() + fragment(u)
}

func fragment(u *url.URL) string {
	if u.Fragment == "" {
		return ""
	}
	return "#" + u.EscapedFragment()
}

// seenToday is the stretch in which a reading of cautions may still count: a day has at
// most 25 hours.
const seenToday = 25 * time.Hour
