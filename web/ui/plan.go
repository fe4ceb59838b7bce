package ui

import "strings"

// Zone is where in the interior a piece sits.
type Zone string

// The zones, in the order in which the plan shows them.
const (
	ZoneFront Zone = "front"
	ZoneLeft  Zone = "left"
	ZoneRight Zone = "right"
	ZoneRear  Zone = "rear"
	ZoneLoose Zone = "loose"
)

// PlanPiece is one trim piece in the interior plan.
type PlanPiece struct {
	ID      string
	Name    string
	Href    string // "" draws it without a link
	Zone    Zone   // an unknown zone counts as loose
	Side    string // "left", "right" or ""
	Place   string // place in the zone in words: "front door", "centre"
	Order   int    // order within the zone; equal ones keep the order of the slice
	AreaM2  float64
	Look    Look
	Stage   string // word of the stage; "" takes the look's own
	Waiting string // "16:40" or "Fri 07:40"; "" when it doesn't wait
	Trouble string // "held", "sent back", "late"; "" for none
	Fixed   bool   // worked in the car

	Selected bool
}

// PlanProps is the interior of one car.
type PlanProps struct {
	Label  string // accessible name, e.g. "Interior of 26-014"
	Scheme Scheme
	Pieces []PlanPiece
	Empty  string // what to do first when there are no pieces
}

func (p PlanPiece) stage() string { return p.Look.word(p.Stage) }

// says is the piece's accessible name: what it is, how far, what holds it.
func (p PlanPiece) says() string {
	parts := []string{p.Name, p.stage()}
	if p.Waiting != "" {
		parts = append(parts, "waiting until "+p.Waiting)
	}
	if p.Trouble != "" {
		parts = append(parts, p.Trouble)
	}
	if p.Fixed {
		parts = append(parts, "fixed in the car")
	}
	return strings.Join(parts, ", ")
}
