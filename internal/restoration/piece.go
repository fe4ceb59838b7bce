package restoration

import (
	"strings"
	"time"
)

// Zone is the part of the interior that a piece belongs to.
type Zone string

// The zones.
const (
	ZoneFront Zone = "front"
	ZoneLeft  Zone = "left"
	ZoneRight Zone = "right"
	ZoneRear  Zone = "rear"
	ZoneLoose Zone = "loose"
)

// Zones lists the zones in the order of the interior plan.
func Zones() []Zone { return []Zone{ZoneFront, ZoneLeft, ZoneRight, ZoneRear, ZoneLoose} }

// Side is the side of the car within a zone.
type Side string

// The sides; SideNone is a piece in the middle or on its own.
const (
	SideNone  Side = ""
	SideLeft  Side = "left"
	SideRight Side = "right"
)

// Size is a piece's size class by visible area.
type Size string

// The size classes: small under 0.05 m², medium to 0.2 m², large above.
const (
	SizeSmall  Size = "small"
	SizeMedium Size = "medium"
	SizeLarge  Size = "large"
)

// SizeOf gives the class of a visible area in m².
func SizeOf(areaM2 float64) Size {
	switch {
	case areaM2 < 0.05:
		return SizeSmall
	case areaM2 <= 0.2:
		return SizeMedium
	}
	return SizeLarge
}

// Mounting tells whether a piece comes off the car or is worked in place.
type Mounting string

// The mountings.
const (
	MountBench Mounting = "bench"
	MountFixed Mounting = "fixed"
)

// Hold is why a piece waits apart from its steps.
type Hold struct {
	Reason string
	Since  time.Time
	By     int64 // person
}

// Details are what the survey and the office say of a piece. They are kept with
// an audit, not in the ledger; what changes planned hours also enters the ledger.
type Details struct {
	Name         string
	Zone         Zone
	Side         Side
	Place        string  // place in the zone, in words or a number
	Order        int     // order within the zone
	AreaM2       float64 // visible face: grain and clear
	BothM2       float64 // both faces: primer and ground
	Size         Size
	Mounting     Mounting
	Metal        string // base metal: steel, zinc, aluminium, other
	Set          string // the set that it must match
	Scheme       string // "" is the car's own
	SchemeReason string // why it differs from its neighbours
	Grade        int    // condition at the survey, 1–6; 0 not graded
	SteelGrade   int    // graded again on bare steel; 0 not yet
	Faults       []Fault
	Note         string
}

// WorkingGrade is the grade on bare steel where there is one, else the survey's.
func (d Details) WorkingGrade() int {
	if d.SteelGrade > 0 {
		return d.SteelGrade
	}
	return d.Grade
}

// Title is the piece's name with its side of the car: a car has two of most.
func (d Details) Title() string {
	side := d.Side
	if side == SideNone && (d.Zone == ZoneLeft || d.Zone == ZoneRight) {
		side = Side(d.Zone)
	}
	if side == SideNone {
		return d.Name
	}
	return d.Name + ", " + string(side)
}

// Doubles lists the titles of new pieces that a car has already: of the same name,
// zone, side and place, in any case.
func Doubles(have []Details, add []NewPiece) []string {
	key := func(d Details) string {
		return strings.ToLower(strings.Join([]string{d.Name, string(d.Zone), string(d.Side), d.Place}, "\x00"))
	}
	known := map[string]bool{}
	for _, d := range have {
		known[key(d)] = true
	}
	var doubles []string
	for _, p := range add {
		if known[key(p.Details)] {
			doubles = append(doubles, p.Title())
		}
	}
	return doubles
}

// Piece is one trim piece of one car with its steps and what they add up to.
type Piece struct {
	ID      ID
	CarID   int64
	Label   string // short code on its tag
	RouteID int64
	Details

	// What follows is the projection of the ledger.
	LiesAt  string
	Holding *Hold
	Removed time.Time // zero: still on the list
	Steps   []Step    // ordered by position, then pass
	Sum     Sum
}

// NewPiece is a line of a trim list, before the shop has taken it in. A piece whose
// metal is not said is of steel.
type NewPiece struct {
	Details
	Route  string // key or name of the route; "" is the shop's stock route
	LiesAt string
}
