package ui

import (
	"slices"
	"time"

	"scumble/internal/restoration"
)

// StripSegment is the hours left at one stage.
type StripSegment struct {
	Look   restoration.Look
	Label  string // stage's word
	Hours  float64
	Rework float64 // the part of Hours that does again what had been done
}

// HoursStripProps is a car in hours.
type HoursStripProps struct {
	Label    string // what the bar is of: "Hours of 26-014"
	Scheme   Scheme
	Done     float64 // planned hours of what is done
	Segments []StripSegment
	Scale    float64 // hours of the full width, the same for bars to be compared; 0 fills the width
	Compact  bool    // the bar alone, its legend only for screen readers
}

// PromiseAxisProps is a car's dates on a line.
type PromiseAxisProps struct {
	Start       time.Time // work began; zero leaves it out
	Now         time.Time
	Promised    time.Time // zero: no date promised yet
	Early, Late time.Time // expected range; zero when unknown
	Loc         *time.Location
	Done        bool // delivered: no lateness any more
}

// Left is the sum of the hours left at the stages, rework among them.
func (p HoursStripProps) Left() float64 {
	var sum float64
	for _, s := range p.Segments {
		sum += s.Hours
	}
	return sum
}

// Rework is the part of Left that does again what had been done.
func (p HoursStripProps) Rework() float64 {
	var sum float64
	for _, s := range p.Segments {
		sum += s.Rework
	}
	return sum
}

// stripPart is one stretch of the bar; X and W are shares of its width.
type stripPart struct {
	X, W  float64
	Kind  string // "done", "left", "rework"
	Look  restoration.Look
	Label string
	Hours float64
}

// leastShare keeps a stage with hours left visible, however few they are.
const leastShare = 0.004

// parts cuts the bar: done, then what is left in the order given, then the rework of
// all stages.
// They touch and never pass the end of the bar.
func (p HoursStripProps) parts() []stripPart {
	parts := []stripPart{{Kind: "done", Look: restoration.LookCut, Label: "done", Hours: p.Done}}
	for _, s := range p.Segments {
		parts = append(parts, stripPart{Kind: "left", Look: s.Look, Label: wordOr(s.Label, s.Look), Hours: s.Hours - s.Rework})
	}
	parts = append(parts, stripPart{Kind: "rework", Label: "rework", Hours: p.Rework()})
	parts = slices.DeleteFunc(parts, func(s stripPart) bool { return !(s.Hours > 0) })
	var sum float64
	for _, s := range parts {
		sum += s.Hours
	}
	full := max(sum, p.Scale)
	room := 1.0
	if sum > 0 {
		room = sum / full
	}
	var shares float64
	for i := range parts {
		parts[i].W = max(parts[i].Hours/full, leastShare)
		shares += parts[i].W
	}
	var x float64
	for i := range parts {
		parts[i].W *= room / shares // give back what the smallest took
		parts[i].X = x
		x += parts[i].W
	}
	return parts
}

// legend names what the bar shows. A stage counts with its rework, as everywhere;
// rework comes last as what it is, a part of what is left.
func (p HoursStripProps) legend() []stripPart {
	lines := []stripPart{{Kind: "done", Look: restoration.LookCut, Label: "done", Hours: p.Done}}
	for _, s := range p.Segments {
		lines = append(lines, stripPart{Kind: "left", Look: s.Look, Label: wordOr(s.Label, s.Look), Hours: s.Hours})
	}
	lines = append(lines, stripPart{Kind: "rework", Label: "of it rework", Hours: p.Rework()})
	return slices.DeleteFunc(lines, func(s stripPart) bool { return !(s.Hours > 0) })
}

// says is the bar in one sentence.
func (p HoursStripProps) says() string {
	text := HoursFloat(p.Done) + " done, " + HoursFloat(p.Left()) + " left"
	if r := p.Rework(); r > 0 {
		text += ", " + HoursFloat(r) + " of it rework"
	}
	return text
}

func (s stripPart) y() float64 {
	if s.Kind == "done" {
		return 1
	}
	return 6
}

func (s stripPart) height() float64 { return 32 - 2*s.y() }

func (s stripPart) fill(scheme Scheme) string {
	if s.Kind == "rework" {
		return "url(#sw-rework)"
	}
	return scheme.fill(s.Look, cutQuiet)
}

func (s stripPart) mono() string {
	switch s.Kind {
	case "done":
		return "#fff"
	case "rework":
		return "url(#mono-rework)"
	}
	return monoFill(s.Look)
}

// mark is the letter on the printed bar, where there is room for one.
func (s stripPart) mark() string {
	switch {
	case s.W < 0.03:
		return ""
	case s.Kind == "left":
		return printedLetter(s.Look, s.Label)
	}
	return s.Label
}
