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
	Stage   string
	Subject string // as the audit keeps that they were read
	List    []restoration.Caution
	Action  string // the form's address
	Then    string // where one goes on to
	Zone    string // the shop's, by its name: a reading counts for its day
}

// cautionsDue gives the cautions of a stage with a material, nil where none is chosen,
// unless the person has read those of the stage with a material of the kind today.
func cautionsDue(in pieceInput, stage restoration.Stage, m *restoration.Material) *cautionView {
	list := restoration.CautionsFor(stage, m)
	subject := restoration.CautionSubject(stage, m)
	if len(list) == 0 || !restoration.CautionDue(in.Film.Seen[subject], in.Now, in.Loc) {
		return nil
	}
	return &cautionView{Stage: stage.Name, Subject: subject, List: list, Action: "/bench/cautions", Then: piecePath(in.Piece.ID), Zone: in.Loc.String()}
}

// cautions are those beside a piece's next step, with the material that its coat begins
// with.
func (in pieceInput) cautions(step restoration.Step, stage restoration.Stage) []restoration.Caution {
	if in.Film == nil {
		return restoration.CautionsFor(stage, nil)
	}
	return restoration.CautionsFor(stage, in.chooseMaterial(step, stage))
}

// readCautions notes that the person has read the cautions of a stage, and leads on. A
// script is not led; it says the hour at which they were read.
func (b *Bench) readCautions(w http.ResponseWriter, r *http.Request) error {
	stage := clean(r.PostFormValue("stage"))
	if stage == "" || len(stage) > 8*restoration.MaxName {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This form can't be read. Go back and send it again.")
	}
	var at time.Time
	if said := r.PostFormValue("at"); said != "" {
		clock, err := time.Parse(time.RFC3339, said)
		if err != nil {
			return restoration.Problemf(restoration.TroubleInvalid, "", "The hour %q can't be read. Send it by RFC 3339.", said)
		}
		at = rightHour(clock, sentAt(r), b.now())
	}
	if err := b.shop.SeeCautions(r.Context(), visitOf(r).actor(), stage, at); err != nil {
		return err
	}
	if web.WantsJSON(r) {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	return web.SeeOther(w, r, onBench(r.PostFormValue("then")))
}

// onBench keeps whoever is led on to a page of the bench.
func onBench(then string) string {
	u, err := url.Parse(then)
	if err != nil || u.Host != "" || u.Scheme != "" || u.Path != path.Clean(u.Path) || !strings.HasPrefix(u.Path, "/bench/") {
		return "/bench"
	}
	return (&url.URL{Path: u.Path, RawPath: u.RawPath, RawQuery: u.RawQuery, Fragment: u.Fragment, RawFragment: u.RawFragment}).String()
}

// seenToday is the stretch in which a reading of cautions may still count: a day has at
// most 25 hours.
const seenToday = 25 * time.Hour
