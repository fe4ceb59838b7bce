package restoration

import (
	"math"
	"unicode/utf8"

	"scumble/internal/coating"
	"scumble/internal/colour"
)

// Scheme is the finish that pieces of one car must reach.
type Scheme struct {
	ID    int64
	CarID int64
	Name  string // "" is the car's own
	// ClearCoats are the coats of clear that ticking the clear asks for; 0 asks for none.
	ClearCoats int
	// BuildUM is the clear wanted before cutting, FloorUM what must stay over the grain.
	BuildUM, FloorUM float64
	Gloss            *colour.Gloss // nil: not agreed
	Ground           *colour.Lab   // of the ground, D65/10°; nil: not measured
	Materials        map[coating.Layer]int64
	GroundLot        int64 // the tin that the whole car is grounded from; 0 not said
}

// The film that a car starts with where no scheme says otherwise: a floor of 2 mil, a
// figure in print by a paint maker; build and coats are common practice, no source.
const (
	StockFloorUM    = 50
	StockBuildUM    = 120
	StockClearCoats = 4
)

// The most that a floor and a build may be: beyond them a figure is rather a slip.
const (
	mostFloorUM = 1000
	mostBuildUM = 2000
)

// StockScheme is the scheme that a new one starts from.
func StockScheme(carID int64, name string) Scheme {
	return Scheme{CarID: carID, Name: name, ClearCoats: StockClearCoats, BuildUM: StockBuildUM, FloorUM: StockFloorUM}
}

// Check lists what can't be right, each at its field: name, clear_coats, build,
// floor, gloss, ground, and names films in the shop's unit. Nil is all right.
func (s Scheme) Check(units Units) []*Problem {
	var found []*Problem
	add := func(field, format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, field, format, args...))
	}
	inside := func(v, low, high float64) bool { return !math.IsNaN(v) && v >= low && v <= high }
	if utf8.RuneCountInString(s.Name) > MaxName {
		add("name", "The name is longer than %d characters. Shorten it.", MaxName)
	}
	if s.ClearCoats < 0 || s.ClearCoats > 200 {
		add("clear_coats", "The coats of clear must be from 0 to 200.")
	}
	if !inside(s.FloorUM, 0, mostFloorUM) {
		add("floor", "The floor must be from %s to %s.", measureUM.least(0, units), measureUM.most(mostFloorUM, units))
	}
	if !inside(s.BuildUM, s.FloorUM, mostBuildUM) {
		add("build", "The clear wanted must be at least the floor, and at most %s.", measureUM.most(mostBuildUM, units))
	}
	if s.Gloss != nil {
		if err := s.Gloss.Check(); err != nil {
			add("gloss", "The gloss: %s.", err)
		}
	}
	if s.Ground != nil {
		if err := s.Ground.Check(); err != nil {
			add("ground", "The ground colour: %s.", err)
		}
	}
	return found
}

// Title is what a person calls the scheme.
func (s Scheme) Title() string {
	if s.Name == "" {
		return "the car's finish"
	}
	return s.Name
}
