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

// StockScheme is the scheme that a new one starts from.
func StockScheme(carID int64, name string) Scheme {
	return Scheme{CarID: carID, Name: name, ClearCoats: StockClearCoats, BuildUM: StockBuildUM, FloorUM: StockFloorUM}
}

// Check lists what can't be right, each at its field: name, clear_coats, build,
// floor, gloss, ground. Nil is all right.
func (s Scheme) Check() []*Problem {
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
	if !inside(s.FloorUM, 0, 1000) {
		add("floor", "The floor must be from 0 to 1,000 µm.")
	}
	if !inside(s.BuildUM, s.FloorUM, 2000) {
		add("build", "The clear wanted must be at least the floor, and at most 2,000 µm.")
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

// FilmSettings are the shop's own figures for the film, common practice, no source,
// where nothing else is said.
type FilmSettings struct {
	EdgeFactor float64 `json:"edge_factor"` // of the clear that stays on edges and beads
	WarnUM     float64 `json:"warn_um"`     // above the floor: warned from here
	SessionUM  float64 `json:"session_um"`  // dry clear per session, by a paint maker's bulletin
	Transfer   float64 `json:"transfer"`    // share of the paint that lands on the pieces
	Waste      float64 `json:"waste"`       // share mixed beyond the need
	FixedML    float64 `json:"fixed_ml"`    // lost in cup, gun and strainer at every mix
	SetDeltaE  float64 `json:"set_delta_e"` // ΔE00 within a set
	OwnDeltaE  float64 `json:"own_delta_e"` // ΔE00 to the scheme
	GlossGU    float64 `json:"gloss_gu"`    // gloss, either way
	GritRatio  float64 `json:"grit_ratio"`  // of grain sizes from one paper to the next
	Per10C     float64 `json:"per_10_c"`    // waits grow so many times per 10 °C colder, beyond what the sheet states
}

// StockFilm are the figures that a shop starts with.
func StockFilm() FilmSettings {
	return FilmSettings{EdgeFactor: 1, WarnUM: 10, SessionUM: 75, Transfer: 0.30, Waste: 0.10, FixedML: 45,
		SetDeltaE: 1, OwnDeltaE: 2, GlossGU: 5, GritRatio: 2, Per10C: coating.FactorPer10C}
}

func (f FilmSettings) check() []*Problem {
	var found []*Problem
	for _, b := range []struct {
		field, what string
		v, min, max float64
	}{
		{"edge_factor", "The edge factor", f.EdgeFactor, 0.1, 1},
		{"warn_um", "The margin of the warning, in µm,", f.WarnUM, 0, 200},
		{"session_um", "The limit per session, in µm,", f.SessionUM, 5, 1000},
		{"transfer", "The share of paint that lands", f.Transfer, 0.02, 1},
		{"waste", "The waste", f.Waste, 0, 2},
		{"fixed_ml", "The loss per mix, in mL,", f.FixedML, 0, 1000},
		{"set_delta_e", "The colour tolerance in a set", f.SetDeltaE, 0.1, 20},
		{"own_delta_e", "The colour tolerance to the scheme", f.OwnDeltaE, 0.1, 20},
		{"gloss_gu", "The gloss tolerance", f.GlossGU, 0.5, 100},
		{"grit_ratio", "The ratio of grits", f.GritRatio, 1.1, 10},
		{"per_10_c", "The factor per 10 °C", f.Per10C, 1.2, 4},
	} {
		if !(b.v >= b.min && b.v <= b.max) {
			found = append(found, Problemf(TroubleInvalid, b.field, "%s must be from %g to %g.", b.what, b.min, b.max))
		}
	}
	return found
}
