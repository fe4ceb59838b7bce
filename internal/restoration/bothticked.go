package restoration

import (
	"cmp"
	"slices"
)

// BothTick is a step that two people ticked, each with hours: all of them count, and
// perhaps they are the same ones.
type BothTick struct{ First, Second Entry }

// BothTicked pairs the ticks of a step that was done by then, with hours and by somebody
// else, with the tick that did it, the latest first. entries are ticks, in any order; one
// that logged no hours, or was refused, counts none twice.
func BothTicked(entries []Entry) []BothTick {
	entries = slices.Clone(entries)
	slices.SortFunc(entries, func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	did := map[ID]Entry{} // by step
	var both []BothTick
	for _, e := range entries {
		first, done := did[e.Event.StepID]
		switch {
		case e.Event.Kind != KindTick:
		case e.Outcome.Result == Applied:
			did[e.Event.StepID] = e
		case e.Outcome.Result == Already && done && e.Event.LogsHours() && first.Event.LogsHours() && first.Event.PersonID != e.Event.PersonID:
			both = append(both, BothTick{first, e})
		}
	}
	slices.Reverse(both)
	return both
}
