package bench

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
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

// measureView is where a reading is entered.
type measureView struct {
	What     string
	Kinds    []chip
	Spots    ui.SelectProps
	SpotOwn  string
	Legend   string    // of the fields
	Says     []string  // how it is measured
	Bases    []ui.Fact // what each spot read before the clear
	Fields   []figureProps
	Baseline ui.SelectProps
	Angle    ui.SelectProps
	Under    ui.SelectProps
	Unit     string
	Why      whyView
	US       bool
}

// usualSpots are offered where a piece has no marked spot yet.
var usualSpots = []string{"Middle", "Left", "Right", "Edge"}

func buildMeasure(in pieceInput, form url.Values) measureView {
	sc := in.Film.Scene
	v := measureView{What: cmp.Or(form.Get("reading.kind"), form.Get("what"), string(restoration.ReadFilm)), US: sc.Units == restoration.US}
	path := piecePath(in.Piece.ID) + "/measure?what="
	for _, k := range []struct {
		kind restoration.ReadingKind
		word string
	}{{restoration.ReadFilm, "Film"}, {restoration.ReadGloss, "Gloss"}, {restoration.ReadColour, "Colour"}} {
		v.Kinds = append(v.Kinds, chip{Word: k.word, Href: path + string(k.kind), Active: v.What == string(k.kind)})
	}
	v.Spots = in.spots(form)
	v.SpotOwn = form.Get("spot_own")
	v.Why = whyView{Picks: []string{"Measured twice", "Filler underneath"}}
	switch restoration.ReadingKind(v.What) {
	case restoration.ReadGloss:
		v.Legend = "Gloss"
		v.Fields = []figureProps{{Name: "reading.gloss.gu", Label: "Gloss", Unit: "GU", Value: form.Get("reading.gloss.gu"), Step: 1, High: 200, Start: 85}}
		v.Angle = in.angles(form)
	case restoration.ReadColour:
		v.Legend = "Colour, D65/10°"
		for _, f := range []struct{ name, label string }{{"l", "L*"}, {"a", "a*"}, {"b", "b*"}} {
			name := "reading.lab." + f.name
			v.Fields = append(v.Fields, figureProps{Name: name, Label: f.label, Value: form.Get(name)})
		}
		v.Under = yesNo("reading.under_clear", "Seen under clear", form.Has("id") && form.Get("reading.under_clear") != "" || !form.Has("id") && in.clearOn())
	default:
		v.What, v.Unit = string(restoration.ReadFilm), filmUnit(sc.Units)
		v.fillFilm(in)
		for i := range coating.ReadingsPerSpot {
			value := ""
			if typed := form["reading.film_um"]; i < len(typed) {
				value = typed[i]
			}
			v.Fields = append(v.Fields, figureProps{Name: "reading.film_um", Label: []string{"First", "Second", "Third"}[i], Unit: v.Unit, Value: value})
		}
		v.Baseline = yesNo("reading.baseline", "Before the first clear", form.Has("id") && form.Get("reading.baseline") != "" || !form.Has("id") && !in.clearOn())
	}
	return v
}

// fillFilm says what a gauge shows, so that nobody types the clear alone, and what each
// spot read before the clear.
func (v *measureView) fillFilm(in pieceInput) {
	v.Legend = "Total film over steel"
	v.Says = []string{"All that the gauge shows, not the clear alone. At least " + strconv.Itoa(coating.ReadingsPerSpot) + " readings on the spot (SSPC-PA 2)."}
	for _, s := range in.film().Spots {
		if s.Based {
			v.Bases = append(v.Bases, ui.Fact{Term: s.Name, Text: restoration.FilmWords(s.BaseUM, in.Film.Scene.Units)})
		}
	}
}

// clearOn tells whether any clear is on the piece.
func (in pieceInput) clearOn() bool { return in.film().Known() }

// spots offers the marked spots of the piece, the first of them chosen.
func (in pieceInput) spots(form url.Values) ui.SelectProps {
	names := []string{}
	for _, d := range in.Film.Scene.Deeds {
		if d.Kind == restoration.KindReading && d.Reading.Spot != "" && !slices.Contains(names, d.Reading.Spot) {
			names = append(names, d.Reading.Spot)
		}
	}
	if len(names) == 0 {
		names = usualSpots
	}
	s := ui.SelectProps{Name: "reading.spot", Label: "Where", Value: cmp.Or(form.Get("reading.spot"), names[0])}
	for _, n := range names {
		s.Options = append(s.Options, ui.Option{Value: n, Word: n})
	}
	return s
}

func (in pieceInput) angles(form url.Values) ui.SelectProps {
	s := ui.SelectProps{Name: "reading.gloss.angle", Label: "Angle", Value: form.Get("reading.gloss.angle")}
	if want := in.Film.Scene.Scheme.Gloss; want != nil && s.Value == "" {
		s.Value = trimmed(float64(want.Angle), 0)
		s.Hint = "Wanted: " + want.String() + "."
	}
	s.Value = cmp.Or(s.Value, "60")
	for _, a := range []string{"60", "20", "85"} {
		s.Options = append(s.Options, ui.Option{Value: a, Word: a + "°"})
	}
	return s
}

func yesNo(name, label string, yes bool) ui.SelectProps {
	s := ui.SelectProps{Name: name, Label: label, Options: []ui.Option{{Value: "1", Word: "Yes"}, {Value: "", Word: "No"}}}
	if yes {
		s.Value = "1"
	}
	return s
}
