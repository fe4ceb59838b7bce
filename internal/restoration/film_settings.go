package restoration

import "scumble/internal/coating"

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

// check finds what is out of bounds, and names them in the units of the shop.
func (f FilmSettings) check(units Units) []*Problem {
	var found []*Problem
	degrees := "10 °C"
	if units == US {
		degrees = "18 °F"
	}
	for _, b := range []struct {
		field, what string
		in          measure
		v, min, max float64
	}{
		{"edge_factor", "The edge factor", noMeasure, f.EdgeFactor, 0.1, 1},
		{"warn_um", "The margin of the warning", measureUM, f.WarnUM, 0, 200},
		{"session_um", "The limit per session", measureUM, f.SessionUM, 5, 1000},
		{"transfer", "The share of paint that lands", noMeasure, f.Transfer, 0.02, 1},
		{"waste", "The waste", noMeasure, f.Waste, 0, 2},
		{"fixed_ml", "The loss per mix", measureML, f.FixedML, 0, 1000},
		{"set_delta_e", "The colour tolerance in a set", noMeasure, f.SetDeltaE, 0.1, 20},
		{"own_delta_e", "The colour tolerance to the scheme", noMeasure, f.OwnDeltaE, 0.1, 20},
		{"gloss_gu", "The gloss tolerance", noMeasure, f.GlossGU, 0.5, 100},
		{"grit_ratio", "The ratio of grits", noMeasure, f.GritRatio, 1.1, 10},
		{"per_10_c", "The factor per " + degrees, noMeasure, f.Per10C, 1.2, 4},
	} {
		if !(b.v >= b.min && b.v <= b.max) {
			found = append(found, Problemf(TroubleInvalid, b.field, "%s must be from %s to %s.",
				b.what, b.in.least(b.min, units), b.in.most(b.max, units)))
		}
	}
	return found
}
