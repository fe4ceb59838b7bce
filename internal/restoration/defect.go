package restoration

import "slices"

// Defect is what may go wrong with a finish, the stage that it sends a piece back
// to, and what doing it again takes for a medium piece. The table is common
// practice, no source; a shop's own record beats it.
type Defect struct {
	Key   string
	Name  string
	Found []Look // stages at which it is usually found
	Back  Look   // the stage that it sends the piece back to
	Hours Estimate
	Sign  string // what it looks like, in a few words
	// Causes are the likely ones without those that have figures; [Defect.CausesIn] has all.
	Causes []string
}

// DefectOther is a defect that the table does not hold; the reason says what it is.
const DefectOther = "other"

// FindDefect finds a defect by key.
func FindDefect(key string) (Defect, bool) {
	table := Defects()
	i := slices.IndexFunc(table, func(d Defect) bool { return d.Key == key })
	if i < 0 {
		return Defect{}, false
	}
	return table[i], true
}

// HoursFor scales the defect's hours to a size class by the sums of the stock
// route's standard hours, 4.8 : 9.5 : 22.
func (d Defect) HoursFor(size Size) Estimate {
	switch size {
	case SizeSmall:
		return d.Hours.Times(4.8/9.5, 4.8/9.5, 4.8/9.5)
	case SizeLarge:
		return d.Hours.Times(22/9.5, 22/9.5, 22/9.5)
	}
	return d.Hours
}

// BackTo suggests the stage of a route that a defect sends a piece back to: the
// last of [BackStages] with the defect's look; where there is none, the last stage
// that is done; "" when nothing is done yet. A run found on fresh clear goes "back"
// to the cut that was next anyway, and makes it dearer.
func (d Defect) BackTo(p Piece, r Route) string {
	for _, s := range slices.Backward(BackStages(p, r)) {
		if s.Look == d.Back {
			return s.Key
		}
	}
	return p.Sum.Reached
}

// DefectsAt lists the table with what is usually found at one of the looks first.
func DefectsAt(looks ...Look) []Defect {
	list := Defects()
	slices.SortStableFunc(list, func(a, b Defect) int { return rankAt(a, looks) - rankAt(b, looks) })
	return list
}

func rankAt(d Defect, looks []Look) int {
	switch {
	case slices.ContainsFunc(d.Found, func(l Look) bool { return slices.Contains(looks, l) }):
		return 0
	case d.Key == DefectOther:
		return 2
	}
	return 1
}
