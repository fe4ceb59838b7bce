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

// DefectsAt splits the table in two for a piece that shows one of the looks: what is
// usually found there, then what sends a piece back to there, and all the others, with
// what the table doesn't hold at the end.
func DefectsAt(looks ...Look) (here, others []Defect) {
	list := Defects()
	slices.SortStableFunc(list, func(a, b Defect) int { return rankAt(a, looks) - rankAt(b, looks) })
	from := slices.IndexFunc(list, func(d Defect) bool { return rankAt(d, looks) >= rankElsewhere })
	return list[:from:from], list[from:]
}

// thinClear are the defects of a clear that is under its floor, first what the film says.
var thinClear = []string{"too-thin", "cut-through"}

// ThinFirst puts what is wrong with a clear that may be under its floor before all that
// [DefectsAt] finds usual.
func ThinFirst(here, others []Defect) (first, rest []Defect) {
	of := func(d Defect) bool { return slices.Contains(thinClear, d.Key) }
	for _, key := range thinClear {
		if d, ok := FindDefect(key); ok {
			first = append(first, d)
		}
	}
	return append(first, slices.DeleteFunc(slices.Clone(here), of)...), slices.DeleteFunc(slices.Clone(others), of)
}

// The ranks of a defect where a piece shows some looks.
const (
	rankFound = iota
	rankBack
	rankElsewhere
	rankUnlisted
)

func rankAt(d Defect, looks []Look) int {
	switch {
	case d.Key == DefectOther:
		return rankUnlisted
	case slices.ContainsFunc(d.Found, func(l Look) bool { return slices.Contains(looks, l) }):
		return rankFound
	case slices.Contains(looks, d.Back):
		return rankBack
	}
	return rankElsewhere
}
