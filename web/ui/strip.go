package ui

import "time"

// StripSegment is the hours left at one stage.
type StripSegment struct {
	Look  Look
	Label string // stage's word
	Hours float64
}

// HoursStripProps is a car in hours.
type HoursStripProps struct {
	Label    string // what the bar is of: "Hours of 26-014"
	Scheme   Scheme
	Done     float64 // planned hours of what is done
	Segments []StripSegment
	Rework   float64 // rework hours left, apart from the segments
	Scale    float64 // hours of the full width, the same for bars to be compared; 0 fills the width
	Compact  bool    // the bar alone, its legend only for screen readers
}

// PromiseAxisProps is a car's dates on a line.
type PromiseAxisProps struct {
	Start        time.Time // work began; zero leaves it out
	Now          time.Time
	Promised     time.Time // zero: no date promised yet
	Early, Late  time.Time // expected range; zero when unknown
	Loc          *time.Location
	Done         bool // delivered: no lateness any more
	PromisedWord string
}

// Left is the sum of the hours left at the stages, rework not counted.
func (p HoursStripProps) Left() float64 {
	var sum float64
	for _, s := range p.Segments {
		sum += s.Hours
	}
	return sum
}
