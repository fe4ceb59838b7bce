package bench

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// measureView is where a reading is entered.
type measureView struct {
	What     string
	Kinds    []chip
	Spots    ui.SelectProps
	SpotOwn  string
	Legend   string    // of the fields
	How      []string  // it is measured
	Bases    []ui.Fact // what each spot read before the clear
	Fields   []figureProps
	Baseline ui.SelectProps
	Angle    ui.SelectProps
	Under    ui.SelectProps
	Unit     string
	Says     []ui.Notice // what the rules say of it as it is typed
	Why      whyView
	US       bool
}

// cautions counts what the rules say of the reading as it is typed.
func (v measureView) cautions() int { return len(v.Says) + len(v.Why.Needs) + len(v.Why.Asks) }

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
	v.forewarn(in, form)
	return v
}

// forewarn says before what the rules would say of the reading that is typed. While
// readings of the spot are still missing they say nothing.
func (v *measureView) forewarn(in pieceInput, form url.Values) {
	if !form.Has("reading.kind") {
		return
	}
	p := formParser{form: form, us: v.US}
	r := p.reading()
	if len(p.faults) > 0 || r.Kind == restoration.ReadFilm && len(r.FilmUM) < coating.ReadingsPerSpot {
		return
	}
	v.Says = in.foresee(restoration.Event{Kind: restoration.KindReading, Payload: restoration.Payload{Reading: r}}, &v.Why)
}

// fillFilm says what a gauge shows, so that nobody types the clear alone, and what each
// spot read before the clear.
func (v *measureView) fillFilm(in pieceInput) {
	v.Legend = "Total film over steel"
	v.How = []string{"All that the gauge shows, not the clear alone. At least " + strconv.Itoa(coating.ReadingsPerSpot) + " readings on the spot (SSPC-PA 2)."}
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
