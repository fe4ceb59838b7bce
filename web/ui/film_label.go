package ui

import (
	"cmp"
	"slices"
	"strings"

	"scumble/internal/coating"
)

// filmLabel is a line or two of words beside the picture, tied to a height of it.
type filmLabel struct {
	At   float64 // what it speaks of
	Y    float64 // middle of its first line
	Word string
	Text string // the figure
	Note string // second line
	Kind string // class of the style sheet
}

const filmLine = 17.0 // height of a line of words

func (l filmLabel) height() float64 {
	if l.Note != "" {
		return 2*filmLine - 2
	}
	return filmLine
}

// labels names everything that is drawn, from the top down once spread.
func (p FilmProps) labels(v filmView) []filmLabel {
	var list []filmLabel
	add := func(at float64, word string, um float64, note, kind string) {
		list = append(list, filmLabel{At: at, Word: word, Text: p.um(um), Note: note, Kind: kind})
	}
	if v.Cut.H > 0 {
		add(v.Cut.middle(), "cut off", v.Cut.UM, "", "film-aside")
	}
	if v.Build.UM > 0 {
		add(v.Build.Y, "build", v.Build.UM, "", "film-aside")
	}
	if p.Film.Known() {
		note := p.span(p.Film.Clear)
		if p.Film.ByGauge {
			note = "gauge " + p.figures(p.Film.Clear)
		}
		add(v.Surface, "clear", p.Film.Clear.Likely, note, "film-strong")
	}
	if v.Floor.UM > 0 {
		kind := "film-strong"
		if p.state().Alert() {
			kind = "film-alert"
		}
		add(v.Floor.Y, "floor", v.Floor.UM, "", kind)
	}
	for _, b := range slices.Backward(v.Under) {
		word := string(b.Layer)
		if b.Enlarged {
			word += "*"
		}
		add(b.middle(), word, b.UM, "", "")
	}
	return append(list, filmLabel{At: v.Base + filmSteel/2, Word: "steel"})
}

// enlarged lists the layers that are drawn thicker than to scale.
func (p FilmProps) enlarged(v filmView) []coating.Layer {
	var list []coating.Layer
	for _, b := range v.Under {
		if b.Enlarged {
			list = append(list, b.Layer)
		}
	}
	return list
}

// spread moves labels apart, each as near to what it speaks of as the others allow,
// within top and bottom as long as they fit there at all.
func spread(labels []filmLabel, top, bottom float64) []filmLabel {
	slices.SortStableFunc(labels, func(a, b filmLabel) int { return cmp.Compare(a.At, b.At) })
	free := top
	for i := range labels {
		labels[i].Y = max(labels[i].At, free+filmLine/2)
		free = labels[i].Y - filmLine/2 + labels[i].height()
	}
	free = bottom
	for i := len(labels) - 1; i >= 0; i-- {
		labels[i].Y = min(labels[i].Y, free-labels[i].height()+filmLine/2)
		free = labels[i].Y - filmLine/2
	}
	return labels
}

// leader is the line from what a label speaks of to the label, right of the bracket.
func (l filmLabel) leader() string {
	return "M48 " + coord(l.At) + "h3L60 " + coord(l.Y) + "h3"
}

// keyY is where a spot's number stands: above its mark, and never out of the picture.
func (s filmSpot) keyY() float64 {
	if !s.Measured {
		return max(s.Mid-12, filmAir)
	}
	return max(s.High-6, filmAir-4)
}

// scaleWords says what of the picture is to scale and what isn't.
func (p FilmProps) scaleWords(v filmView) string {
	text := "Heights are to scale; width and steel are not."
	for _, l := range p.enlarged(v) {
		um := p.um(filmLayer(p.Film, l).Left.Likely)
		text += " *\u00a0" + strings.ToUpper(string(l[:1])) + string(l[1:]) + ": drawn thicker than its " + Unbroken(um) + ", to be seen."
	}
	return text
}

// unit is the sign that the ruler counts in.
func (p FilmProps) unit() string {
	_, unit, _ := strings.Cut(p.um(0), " ")
	return unit
}
