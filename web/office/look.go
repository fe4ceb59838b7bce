package office

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// How far the list of what needs a look reaches.
const (
	overridesBack = 14 * 24 * time.Hour // ticks against a wait
	lookShown     = 3                   // items of a group that are shown at first
)

// lookGroup is one sort of thing that needs a look.
type lookGroup struct {
	Word  string
	Items []lookItem
	More  int // items not shown
}

// lookItem is one thing that needs a look.
type lookItem struct {
	ID     string // of a line that opens: the same while the page fetches itself anew
	Car    string // work order; "" where it concerns no car
	Text   string
	Note   string
	Href   string
	Settle []settling // the refused entries that it settles; nil where there is nothing to settle
	Inside []lookItem // what it gathers; nil for one thing
}

// lookGroups gathers what needs a look, the most urgent sort first. Groups without
// an item are left out; all shows every item.
func lookGroups(d shopData, dates dates, all bool) []lookGroup {
	groups := []lookGroup{
		{Word: "Refused entries", Items: d.refusedItems()},
		{Word: "Late cars", Items: d.lateItems(dates)},
		{Word: "Tight dates", Items: d.tightItems(dates)},
		{Word: "Recoat windows", Items: d.windowItems()},
		{Word: "Held", Items: d.heldItems()},
		{Word: "Worked against a wait or a warning", Items: d.overrideItems()},
		{Word: "Hours counted twice?", Items: d.bothItems()},
		{Word: "Look for die-back", Items: d.againItems()},
		{Word: "Training and fit tests", Items: d.certificateItems()},
		{Word: "Locked out", Items: d.lockedItems()},
		{Word: "Set check", Items: d.setItems()},
	}
	groups = slices.DeleteFunc(groups, func(g lookGroup) bool { return len(g.Items) == 0 })
	for i := range groups {
		if n := len(groups[i].Items); !all && n > lookShown {
			groups[i].Items, groups[i].More = groups[i].Items[:lookShown], n-lookShown
		}
	}
	return groups
}

func (d shopData) lateItems(dates dates) []lookItem {
	late := slices.DeleteFunc(slices.Clone(d.Roll.Cars), func(c restoration.CarRoll) bool {
		return dates.of(c.Car) != restoration.Late
	})
	slices.SortStableFunc(late, func(a, b restoration.CarRoll) int { return a.Car.PromisedOn.Compare(b.Car.PromisedOn) })
	var out []lookItem
	for _, c := range late {
		out = append(out, lookItem{Car: c.Car.WorkOrder, Text: c.Car.Name + ": " + dates.words(c.Car),
			Note: joinWords("promised "+promisedWords(c.Car, d.Loc), hoursOf(c.Left)+" left"), Href: carPath(c.Car.WorkOrder)})
	}
	return out
}

// tightItems are the cars that won't be ready if everything promised before them is
// done first.
func (d shopData) tightItems(dates dates) []lookItem {
	var out []lookItem
	for _, c := range slices.SortedStableFunc(slices.Values(d.Roll.Cars), func(a, b restoration.CarRoll) int {
		return a.Car.PromisedOn.Compare(b.Car.PromisedOn)
	}) {
		if dates.of(c.Car) == restoration.Tight {
			out = append(out, lookItem{Car: c.Car.WorkOrder, Text: c.Car.Name + ": " + dates.tight(c.Car), Note: hoursOf(c.Left) + " of it on this car",
				Href: carPath(c.Car.WorkOrder)})
		}
	}
	return out
}

func (d shopData) windowItems() []lookItem {
	shut := slices.DeleteFunc(slices.Clone(d.Urgent), func(w restoration.Work) bool { return !d.Settings.Calendar.WindowMatters(w.Piece, d.Now, d.Loc) })
	slices.SortStableFunc(shut, func(a, b restoration.Work) int {
		return a.Piece.Sum.LateFrom.Compare(b.Piece.Sum.LateFrom)
	})
	var out []lookItem
	for _, w := range shut {
		at := w.Piece.Sum.LateFrom
		text := fmt.Sprintf("%s: the window for %s shuts %s", w.Piece.Title(), lowerFirst(w.Stage.Name), ui.Clock(at, d.Now, d.Loc))
		if !at.After(d.Now) {
			text = fmt.Sprintf("%s: the window for %s shut %s", w.Piece.Title(), lowerFirst(w.Stage.Name), ui.Span(at, d.Now))
		}
		out = append(out, lookItem{Car: w.Car.WorkOrder, Text: text, Note: w.Piece.Sum.WindowWords(d.Now), Href: piecePath(w.Piece.ID)})
	}
	return out
}

func (d shopData) heldItems() []lookItem {
	type held struct {
		since time.Time
		item  lookItem
	}
	var list []held
	for _, c := range d.Roll.Cars {
		if c.Car.State == restoration.CarOnHold {
			list = append(list, held{c.Car.HeldSince, lookItem{Car: c.Car.WorkOrder, Href: carPath(c.Car.WorkOrder),
				Text: c.Car.Name + " is on hold: " + c.Car.HoldReason, Note: "the whole car, for " + daysSince(c.Car.HeldSince, d.Now)}})
		}
	}
	for _, w := range d.Urgent {
		if h := w.Piece.Holding; h != nil {
			list = append(list, held{h.Since, lookItem{Car: w.Car.WorkOrder, Href: piecePath(w.Piece.ID),
				Text: w.Piece.Title() + ": " + h.Reason, Note: joinWords("for "+daysSince(h.Since, d.Now), hoursOf(w.Piece.Sum.Left)+" stand still")}})
		}
	}
	slices.SortStableFunc(list, func(a, b held) int { return a.since.Compare(b.since) })
	var out []lookItem
	for _, h := range list {
		out = append(out, h.item)
	}
	return out
}

func (d shopData) overrideItems() []lookItem {
	var out []lookItem
	for _, e := range d.Overrides {
		line := d.reader().line(e)
		out = append(out, lookItem{Car: e.CarWO, Text: line.Piece + ": " + line.Words,
			Note: joinWords(line.Who, ui.When(line.At, d.Loc)), Href: line.Href})
	}
	return out
}

// bothItems are the steps of which two people logged hours with their tick: each leads to
// where the second's are corrected.
func (d shopData) bothItems() []lookItem {
	var out []lookItem
	for _, b := range d.Both {
		first, second := b.First, b.Second
		back := url.Values{fromKey: {second.Event.At.In(d.Loc).Format(time.DateOnly)}, sheetCarKey: {second.CarWO}}
		out = append(out, lookItem{Car: second.CarWO, Href: correctEntryPath(second, second.Event.At, d.Loc, back.Encode()),
			Text: fmt.Sprintf("%s: %s and %s both ticked %s; hours of both count", second.Piece, first.Person, second.Person, lowerFirst(second.Stage)),
			Note: joinWords(first.Event.Hours.Decimal()+" and "+second.Event.Hours.Decimal(), ui.When(second.Event.At, d.Loc), "correct the second's")})
	}
	return out
}

func (d shopData) lockedItems() []lookItem {
	var out []lookItem
	for _, p := range d.People {
		if !p.LockedAt.IsZero() && p.LeftAt.IsZero() {
			out = append(out, lookItem{Text: p.Name + " is locked out after too many wrong tries", Note: "since " + ui.When(p.LockedAt, d.Loc),
				Href: "/office/people"})
		}
	}
	return out
}

// setItems checks each car's set; a car with several findings is named once.
func (d shopData) setItems() []lookItem {
	byCar := map[int64][]restoration.Piece{}
	for _, p := range d.Mixed {
		byCar[p.CarID] = append(byCar[p.CarID], p)
	}
	var out []lookItem
	for _, c := range d.Roll.Cars {
		found := restoration.SetCheck(byCar[c.Car.ID], d.Routes)
		if len(found) == 0 {
			continue
		}
		item := lookItem{Car: c.Car.WorkOrder, Text: found[0].Piece + " is " + found[0].Text, Href: carPath(c.Car.WorkOrder) + "#set-check"}
		if more := len(found) - 1; more > 0 {
			item.Note = "and " + ui.Count(more, "more finding", "more findings")
		}
		out = append(out, item)
	}
	slices.SortStableFunc(out, func(a, b lookItem) int { return cmp.Compare(a.Car, b.Car) })
	return out
}
