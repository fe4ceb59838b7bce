package restoration

import (
	"math"
	"time"
)

// StageRoll is one stage's share of a roll-up.
type StageRoll struct {
	Stage   string // key
	Name    string
	Look    Look
	Order   int // position in the routes, for sorting
	Pieces  int // pieces with an unsettled step at this stage
	Planned Minutes
	Logged  Minutes
	Left    Minutes
	// ReworkLeft is the part of Left that does again what had been done.
	ReworkLeft Minutes
}

// Roll is what a car, or the whole shop, adds up to. Left splits without
// remainder into Workable, Waiting and Held, by where each piece's next step
// stands; rework is a part of Logged and Left, never of Planned and Earned.
type Roll struct {
	Pieces        int
	Finished      int // pieces with nothing left to do
	Planned       Minutes
	Earned        Minutes
	Logged        Minutes
	Left          Minutes
	Workable      Minutes
	Waiting       Minutes
	Held          Minutes
	ReworkPlanned Minutes
	ReworkLogged  Minutes
	ReworkLeft    Minutes
	NextFrom      time.Time // the earliest hour at which a waiting piece may go on; zero: none waits
	Stages        []StageRoll
}

// PercentDone is earned over planned hours, 0–100, to one decimal; 0 without a plan.
func (r Roll) PercentDone() float64 {
	if r.Planned == 0 {
		return 0
	}
	return math.Round(1000*float64(r.Earned)/float64(r.Planned)) / 10
}

// CarRoll is one car in the roll-up of the shop.
type CarRoll struct {
	Car Car
	Roll
}

// ShopRoll is the roll-up of the whole shop: every car that is not delivered,
// delivered ones only when asked for, and their total.
type ShopRoll struct {
	At    time.Time
	Cars  []CarRoll
	Total Roll
}
