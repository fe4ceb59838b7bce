package bench

import (
	"net/url"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// cutView is where a pass with paper or a polish is logged.
type cutView struct {
	Film   *ui.FilmProps // nil: nobody knows how much is left, or it is no clear
	Under  string        // what the paper meets where no clear is on; "" clear is
	Soft   string        // that the last coat still hardens, and until when; "" it is hard
	Why    whyView       // of such a pass
	asked  []string      // sentences of the rules that Soft says in its own words
	Wet    ui.SelectProps
	Passes []passView
	Done   []string // the passes on this step so far
}

// passView is one grade: its button, and what one more pass would leave.
type passView struct {
	Grade, Word string
	Leaves      string
	left        float64 // µm of clear, likely; behind Leaves
	Warn        string  // "" nothing; what speaks against it
	Hold        bool    // it would go under the floor: the button is held
	Soft        bool    // the last coat is too soft for it: it asks for a reason
}

// The grades at one touch: on clear those whose film is known, below it those by which
// filler and ground are flatted (common practice, no source).
var (
	clearGrades = []string{"P800", "P1000", "P1200", "P1500", "P2000", "P3000", "compound", "polish"}
	underGrades = []string{"P180", "P240", "P320", "P400", "P500", "P600", "P800"}
)

func buildCut(in pieceInput, step restoration.Step, stage restoration.Stage, form url.Values) cutView {
	v := cutView{Wet: ui.SelectProps{Name: "cut.wet", Label: "How", Value: "1", Options: []ui.Option{{Value: "1", Word: "Wet"}, {Value: "", Word: "Dry"}}}}
	if form.Has("id") {
		v.Wet.Value = form.Get("cut.wet")
	}
	for _, d := range in.Film.Scene.Deeds {
		if d.Kind == restoration.KindCutPass && d.StepID == step.ID {
			v.Done = append(v.Done, d.Name)
		}
	}
	in.fillSoft(&v, step)
	v.Why.keep(form)
	last, _ := restoration.LastPass(in.Film.Scene.Deeds, step.ID, in.Now)
	film := in.film()
	if !film.Known() {
		v.Under = restoration.UnderPaper(film, in.Units)
	}
	if restoration.CutLayer(stage.Look) != coating.Clear {
		for _, g := range underGrades {
			v.Passes = append(v.Passes, in.pass(coating.Film{}, last, g))
		}
		return v
	}
	if film.Known() {
		props := in.filmProps(film, stage)
		v.Film = &props
	}
	for _, g := range clearGrades {
		v.Passes = append(v.Passes, in.pass(film, last, g))
	}
	tellApart(v.Passes, in.Film.Scene.Units)
	return v
}

// tellApart says what each of several passes leaves, so that no two look alike that aren't.
func tellApart(passes []passView, units restoration.Units) {
	var left []float64
	for _, p := range passes {
		left = append(left, p.left)
	}
	for i, words := range restoration.FilmsApart(left, units) {
		if passes[i].Leaves != "" {
			passes[i].Leaves = leavesWords(words)
		}
	}
}

func leavesWords(film string) string { return "leaves about " + ui.Unbroken(film) }

// pass says what one more pass of a grade would leave after the last one, before it is made.
func (in pieceInput) pass(film coating.Film, last restoration.Deed, grade string) passView {
	p := passView{Grade: grade, Word: strings.ToUpper(grade[:1]) + grade[1:], Warn: in.ladderWarn(last, grade)}
	if in.softness().Bars(grade) { // until when, the page says on top
		p.warn("too soft yet")
		p.Soft = true
	}
	off, known := coating.Removal(grade)
	if !film.Known() || !known {
		return p
	}
	sc := in.Film.Scene
	after := coating.After(film, off, sc.Policy())
	p.left, p.Leaves = after.Clear.Likely, leavesWords(restoration.FilmWords(after.Clear.Likely, sc.Units))
	switch {
	case after.BelowFloor:
		p.warn("could go under the floor")
		p.Hold = true
	case after.NearFloor:
		p.warn("then only " + ui.Unbroken(restoration.FilmWords(max(0, after.MayGoUM), sc.Units)) + " may go")
	}
	return p
}

// warn adds a warning, the floor before the scratches.
func (p *passView) warn(says string) {
	if p.Warn != "" {
		says += "; " + p.Warn
	}
	p.Warn = says
}

// ladderWarn tells what speaks against a grade after the last pass; "" nothing, or there
// is none.
func (in pieceInput) ladderWarn(last restoration.Deed, grade string) string {
	step, ok := restoration.LadderAfter(last, grade, in.Film.Scene.Film.GritRatio)
	switch {
	case ok && step.Coarser:
		return "coarser than the last pass"
	case ok && step.TooFar:
		return "scratches of " + last.Name + " stay"
	}
	return ""
}
