package bench

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// filmTitles are the pages that log what is done to the finish.
var filmTitles = map[string]string{"coat": "Log a coat", "cut": "Log a pass", "measure": "Measure", "strike": "Strike out"}

// filmActView is one of them.
type filmActView struct {
	Page     ui.PageProps
	Path     string // of the piece
	Act      string
	ID       string // of the entry
	Step     string
	Piece    string
	Now      string // RFC 3339, as the page is drawn
	Errors   []ui.FieldError
	Coat     coatView
	Cut      cutView
	Read     measureView
	Strike   strikeView
	Told     []ui.Notice  // what others left to be known
	Cautions *cautionView // stand before the page; nil: read
}

// strikeView asks why an entry no longer counts.
type strikeView struct {
	Ref   string
	Words string // the entry
	Picks []string
	Own   ui.FieldProps
}

// next is where one goes once the entry is saved: passes follow one another.
func (v filmActView) next() string {
	if v.Act == "cut" {
		return v.Path + "/cut"
	}
	return v.Path
}

// renderFilm draws a page of the film, behind the cautions where they are due.
func (b *Bench) renderFilm(w http.ResponseWriter, r *http.Request, act string, in pieceInput, form url.Values, faults []ui.FieldError) error {
	if err := b.loadFilm(r, &in); err != nil {
		return err
	}
	step, open := nextStep(in.Piece)
	stage, _ := in.Route.Stage(step.Stage)
	if act == "coat" || act == "cut" {
		sprayed, sanded := restoration.LayerOf(stage.Look) != "", restoration.CutLayer(stage.Look) != ""
		if !open || act == "coat" && !sprayed || act == "cut" && !sanded {
			return web.SeeOther(w, r, piecePath(in.Piece.ID))
		}
	}
	v, err := buildFilmAct(act, in, form)
	if err != nil {
		return err
	}
	if (act == "coat" || act == "cut") && len(faults) == 0 { // what was typed is not put behind them
		v.Cautions = in.cautionsBefore(v.Path+"/"+act, step, stage, form)
	}
	v.fail(faults)
	v.Page = b.frame(r, filmTitles[act])
	v.Page.Eyebrow, v.Page.About = in.Piece.Title()+" · "+in.Car.WorkOrder, in.about()
	if act == "coat" || act == "cut" {
		v.Page.Eyebrow += " · " + stage.Name
	}
	v.Page.Back, v.Page.BackWord = v.Path, "Piece"
	if len(faults) == 0 && !form.Has(workAgain) {
		v.Page.Flash, _ = b.heard(r)
	}
	return web.Render(w, r, statusFor(faults), filmPage(v))
}

// cautionsBefore are the cautions that stand before a page, and lead on to it again.
func (in pieceInput) cautionsBefore(path string, step restoration.Step, stage restoration.Stage, form url.Values) *cautionView {
	own, picked := in.chooseMaterial(step, stage), in.pickedMaterial(step, stage, form)
	due := cautionsDue(in, stage, picked)
	if due == nil {
		return nil
	}
	due.Then = path
	if picked != nil && picked != own {
		due.Then += "?material=" + strconv.FormatInt(picked.ID, 10)
	}
	return due
}

func buildFilmAct(act string, in pieceInput, form url.Values) (filmActView, error) {
	v := filmActView{Path: piecePath(in.Piece.ID), Piece: in.Piece.ID.String(), Now: in.Now.UTC().Format(time.RFC3339), Act: act, ID: in.NewID()}
	step, open := nextStep(in.Piece)
	stage, _ := in.Route.Stage(step.Stage)
	if open {
		v.Step = step.ID.String()
	}
	switch act {
	case "coat":
		v.Told, v.Coat = in.told(), buildCoat(in, step, stage, form)
		v.Coat.Why.keep(form)
	case "cut":
		v.Told, v.Cut = in.told(), buildCut(in, step, stage, form)
	case "measure":
		v.Read = buildMeasure(in, form)
		v.Read.Why.keep(form)
	case "strike":
		return v, v.buildStrike(in, form)
	}
	return v, nil
}

func (v *filmActView) buildStrike(in pieceInput, form url.Values) error {
	for _, d := range in.Film.Scene.Deeds {
		if d.EventID.String() == form.Get("ref") {
			v.Strike = strikeView{Ref: d.EventID.String(), Words: in.deedWords(d), Picks: strikeReasons,
				Own: ui.FieldProps{Name: "own", Label: "Another reason", Value: form.Get("own"), MaxLen: restoration.MaxReason}}
			return nil
		}
	}
	return restoration.Problemf(restoration.TroubleNotFound, "", "There is no such entry any more. Open the piece again.")
}

// keep puts back the reason and the word that were given.
func (w *whyView) keep(form url.Values) {
	w.Own, w.Pick = form.Get("own"), form.Get("reason")
	for _, c := range form["checks"] {
		w.Sure = w.Sure || c == restoration.CheckSure
	}
}

// fail puts what is wrong at its field, or on top of the page.
func (v *filmActView) fail(faults []ui.FieldError) {
	for _, f := range faults {
		if !v.failFigure(f) && !v.Coat.saidAtFigure(f.Text) && !v.why().fail(f.Text, slices.Concat(v.Coat.Scuff.Says, v.Cut.asked)) {
			v.Errors = append(v.Errors, ui.FieldError{Text: f.Text})
		}
	}
}

// why is where the page asks for a reason.
func (v *filmActView) why() *whyView {
	switch v.Act {
	case "measure":
		return &v.Read.Why
	case "cut":
		return &v.Cut.Why
	}
	return &v.Coat.Why
}

func (v *filmActView) failFigure(f ui.FieldError) bool {
	if v.Coat.failFigure(f.Name, f.Text) {
		return true
	}
	for i := range v.Read.Fields {
		if fig := &v.Read.Fields[i]; fig.Name == f.Name && fig.Name != "" {
			fig.Error = f.Text
			return true
		}
	}
	if f.Name == v.Strike.Own.Name && f.Name != "" {
		v.Strike.Own.Error = f.Text
		return true
	}
	return false
}
