package restoration

import "slices"

// Look names the swatch that shows a piece at a stage. It is the one code for a
// stage in every picture; a shop's own stages choose the look that comes nearest.
type Look string

// The looks, in the order of the stock route. LookBare is a piece before its first stage.
const (
	LookBare     Look = "bare"
	LookStripped Look = "stripped"
	LookRepaired Look = "repaired"
	LookPrimed   Look = "primed"
	LookBlocked  Look = "blocked"
	LookGrounded Look = "grounded"
	LookGrained  Look = "grained"
	LookCleared  Look = "cleared"
	LookCut      Look = "cut"
	LookFitted   Look = "fitted"
	LookOther    Look = "other"
)

// Looks lists every look in the order of the stock route.
func Looks() []Look {
	return []Look{LookBare, LookStripped, LookRepaired, LookPrimed, LookBlocked, LookGrounded,
		LookGrained, LookCleared, LookCut, LookFitted, LookOther}
}

// Need is what a step does first, and so which wait of the stages before it counts.
type Need string

// The needs. NeedNothing starts at once.
const (
	NeedNothing Need = "nothing"
	NeedRecoat  Need = "recoat"
	NeedSand    Need = "sand"
	NeedPolish  Need = "polish"
	NeedFit     Need = "fit"
)

// Needs lists every need.
func Needs() []Need { return []Need{NeedNothing, NeedRecoat, NeedSand, NeedPolish, NeedFit} }

// Waits are the times a stage asks for after it is done, by what comes next.
// Zero means no wait; MaxRecoat zero means that the recoat window never shuts.
type Waits struct {
	Recoat    Minutes `json:"recoat_min"`
	Sand      Minutes `json:"sand_min"`
	Polish    Minutes `json:"polish_min"`
	Fit       Minutes `json:"fit_min"`
	MaxRecoat Minutes `json:"max_recoat_min"`
}

// For gives the wait before the need may be met.
func (w Waits) For(n Need) Minutes {
	switch n {
	case NeedRecoat:
		return w.Recoat
	case NeedSand:
		return w.Sand
	case NeedPolish:
		return w.Polish
	case NeedFit:
		return w.Fit
	}
	return 0
}

// Check is a question that must be answered before a step may be ticked.
type Check struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

// CheckScuffed confirms that a coat was roughened after its recoat window shut.
const CheckScuffed = "scuffed"

// Stage is one stage of a route.
type Stage struct {
	Key      string   `json:"key"`      // stable within the route, lower case
	Name     string   `json:"name"`     // the shop's own word
	Look     Look     `json:"look"`     // swatch once the stage is done
	Need     Need     `json:"need"`     // which wait of the stages before counts
	After    Waits    `json:"after"`    // waits that this stage asks for
	Small    Estimate `json:"small"`    // standard hours of a small piece
	Medium   Estimate `json:"medium"`   // of a medium piece
	Large    Estimate `json:"large"`    // of a large piece
	SetUp    Minutes  `json:"set_up"`   // shared set-up of a session, whatever the number of pieces
	Booth    bool     `json:"booth"`    // needs the spray booth
	ByGrade  bool     `json:"by_grade"` // the condition factor applies
	Repair   bool     `json:"repair"`   // only where the survey names a fault; hours from the faults
	Purpose  string   `json:"purpose"`
	Checks   []Check  `json:"checks"`
	Cautions []string `json:"cautions"`
}

// Standard gives the stage's standard hours for a size class.
func (s Stage) Standard(size Size) Estimate {
	switch size {
	case SizeSmall:
		return s.Small
	case SizeLarge:
		return s.Large
	}
	return s.Medium
}

// Route is an ordered list of stages. A route that a piece has started is never
// changed: a change makes a new version, and pieces keep the one they were started with.
type Route struct {
	ID      int64   `json:"id"`
	Key     string  `json:"key"` // the same for every version
	Version int     `json:"version"`
	Name    string  `json:"name"`
	Stages  []Stage `json:"stages"`
}

// Position finds a stage by key: its index, or −1.
func (r Route) Position(key string) int {
	return slices.IndexFunc(r.Stages, func(s Stage) bool { return s.Key == key })
}

// Stage finds a stage by key.
func (r Route) Stage(key string) (Stage, bool) {
	if i := r.Position(key); i >= 0 {
		return r.Stages[i], true
	}
	return Stage{}, false
}

// Grains tells whether the route ends in a grained finish.
func (r Route) Grains() bool {
	return slices.ContainsFunc(r.Stages, func(s Stage) bool { return s.Look == LookGrained })
}
