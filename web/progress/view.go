package progress

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// view is the page as it is drawn.
type view struct {
	Page    ui.PageProps
	Percent string
	Words   []string // paragraphs from the shop
	Plan    ui.PlanProps
	Stages  []stageLine
	Next    string // what comes next, in a sentence
	Hours   string // "" unless the owner shows hours
	Touched string
	Clocks  bool // a piece in the plan has an hour beside it
	Photos  []photoLine
}

// stageLine is how many pieces stand at a stage.
type stageLine struct {
	Look  restoration.Look
	Word  string // the trade's word, beside the swatch
	Plain string // the same in everyday words
	Count int
}

// plain says in everyday words what a stage means for a piece.
func plain(l restoration.Look) string {
	switch l {
	case restoration.LookBare:
		return "not begun yet"
	case restoration.LookStripped:
		return "down to bare metal"
	case restoration.LookRepaired:
		return "metal made good"
	case restoration.LookPrimed:
		return "primer on"
	case restoration.LookBlocked:
		return "sanded flat"
	case restoration.LookGrounded:
		return "in the colour under the grain"
	case restoration.LookGrained:
		return "wood grain painted by hand"
	case restoration.LookCleared:
		return "clear coat over the grain"
	case restoration.LookCut:
		return "sanded and polished to a shine"
	case restoration.LookFitted:
		return "back in the car"
	}
	return "at a stage of the shop's own"
}

// then says what is done to so many pieces that stand at a look.
func then(l restoration.Look, pieces string) string {
	switch l {
	case restoration.LookBare:
		return "the old finish comes off " + pieces
	case restoration.LookStripped, restoration.LookRepaired:
		return "primer goes on the bare metal of " + pieces
	case restoration.LookPrimed:
		return "the primer on " + pieces + " is sanded flat"
	case restoration.LookBlocked:
		return "the ground colour goes on " + pieces
	case restoration.LookGrounded:
		return "the wood grain is painted on " + pieces
	case restoration.LookGrained:
		return "clear coat goes over the grain of " + pieces
	case restoration.LookCleared:
		return "the clear coat on " + pieces + " hardens, then is sanded and polished"
	case restoration.LookCut:
		return "the shop puts " + pieces + " back into the car"
	}
	return "the next stage of " + pieces + " follows"
}

// rank orders the looks along the stock route; a shop's own stages rank first.
func rank(l restoration.Look) int {
	if l == restoration.LookOther {
		return 0
	}
	return slices.Index(restoration.Looks(), l)
}

func viewOf(f facts) view {
	loc := f.settings.Location()
	title := "How far the work is"
	tab := "Progress"
	if f.link.ShowName {
		title, tab = f.car.Name, f.car.Name
	}
	v := view{
		Page:    ui.PageProps{Title: title, Tab: tab, Lede: lead(f, loc), ShopName: f.settings.ShopName, Demo: f.demo},
		Percent: ui.Percent(f.roll.PercentDone() / 100),
		Words:   paragraphs(f.car.Words),
		Stages:  stageLines(f.pieces),
		Next:    next(f),
	}
	v.Plan = ui.PlanProps{Label: "The interior as it stands today", Scheme: ui.NewScheme(f.car.Ground, f.car.Grain),
		Empty: "The shop has not listed the pieces yet.", Pieces: planPieces(f, loc)}
	v.Clocks = slices.ContainsFunc(v.Plan.Pieces, func(p ui.PlanPiece) bool { return p.Waiting != "" })
	v.Photos = photoLines(f, loc)
	if f.link.ShowHours {
		v.Hours = fmt.Sprintf("%s worked, %s still to go.", ui.Hours(int(f.roll.Logged)), ui.Hours(int(f.roll.Left)))
	}
	if !f.touched.IsZero() {
		v.Touched = "Last worked on " + ui.When(f.touched, loc) + "."
	}
	return v
}

// lead is the page in one sentence: how many pieces have their grain, and when.
func lead(f facts, loc *time.Location) string {
	if f.car.State == restoration.CarDelivered {
		return "The work is finished and the car is delivered."
	}
	grained := 0
	for _, p := range f.pieces {
		if rank(p.Sum.Look) >= rank(restoration.LookGrained) {
			grained++
		}
	}
	are := "are"
	if grained == 1 {
		are = "is"
	}
	text := fmt.Sprintf("%d of %s %s grained or further", grained, ui.Count(len(f.pieces), "piece", "pieces"), are)
	switch date := expected(f.car); {
	case date != "":
		text += "; we expect it " + date
	case !f.car.PromisedOn.IsZero() && !f.car.PromisedOn.Before(today(f, loc)):
		text += "; it is promised for " + f.car.PromisedOn.Format("Mon 2 January 2006")
	case f.car.State == restoration.CarOnHold:
		text += "; the work rests just now"
	}
	return text + "."
}

// today is the day it is in the shop, as dates are kept.
func today(f facts, loc *time.Location) time.Time {
	y, m, d := f.now.In(loc).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// expected is the range that the owner gave: "between 19 and 27 March".
func expected(c restoration.Car) string {
	from, to := c.ExpectFrom, c.ExpectTo
	switch {
	case from.IsZero() && to.IsZero():
		return ""
	case from.IsZero() || to.IsZero() || from.Equal(to):
		day := to
		if day.IsZero() {
			day = from
		}
		return "about " + day.Format("Mon 2 Jan 2006")
	case from.Year() == to.Year() && from.Month() == to.Month():
		return fmt.Sprintf("between %d and %s", from.Day(), to.Format("2 January 2006"))
	}
	return "between " + from.Format("2 January 2006") + " and " + to.Format("2 January 2006")
}

func planPieces(f facts, loc *time.Location) []ui.PlanPiece {
	var out []ui.PlanPiece
	for _, p := range f.pieces {
		piece := ui.PlanPiece{ID: p.ID.String(), Name: p.Name, Zone: p.Zone, Side: string(p.Side), Place: p.Place,
			Order: p.Order, AreaM2: p.AreaM2, Look: p.Sum.Look, Fixed: p.Mounting == restoration.MountFixed}
		switch p.Footing(restoration.CarInWork, f.now) {
		case restoration.FootWaiting:
			piece.Waiting = ui.Clock(p.Sum.GateFrom, f.now, loc)
		case restoration.FootHeld:
			piece.Trouble = "waits for something" // the shop's reason is its own
		}
		out = append(out, piece)
	}
	return out
}

// stageLines counts the pieces at each stage, furthest first; stages without any
// are left out.
func stageLines(pieces []restoration.Piece) []stageLine {
	counts := map[restoration.Look]int{}
	for _, p := range pieces {
		counts[p.Sum.Look]++
	}
	var lines []stageLine
	for _, l := range slices.Backward(restoration.Looks()) {
		if n := counts[l]; n > 0 {
			lines = append(lines, stageLine{l, "", plain(l), n})
		}
	}
	return lines
}

// next says what comes next for most of the pieces that are under way.
func next(f facts) string {
	counts := map[restoration.Look]int{}
	var most restoration.Look
	for _, p := range f.pieces {
		if p.Sum.NextStep.IsZero() || p.Holding != nil {
			continue
		}
		counts[p.Sum.Look]++
		if c, best := counts[p.Sum.Look], counts[most]; c > best || c == best && rank(p.Sum.Look) > rank(most) {
			most = p.Sum.Look
		}
	}
	switch {
	case f.car.State == restoration.CarDelivered:
		return ""
	case f.car.State == restoration.CarOnHold:
		return "The work on your car rests just now; the shop will tell you when it goes on."
	case counts[most] == 0:
		return ""
	}
	return "Next: " + then(most, ui.Count(counts[most], "piece", "pieces")) + "."
}

func paragraphs(s string) []string {
	var out []string
	for line := range strings.Lines(s) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}
