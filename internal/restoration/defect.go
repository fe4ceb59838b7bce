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
}

// DefectOther is a defect that the table does not hold; the reason says what it is.
const DefectOther = "other"

// Defects lists the table.
func Defects() []Defect {
	l := func(looks ...Look) []Look { return looks }
	return []Defect{
		{"rust-through", "Rust-through found late", l(LookStripped, LookPrimed, LookBlocked), LookRepaired, Hours3(2, 4, 8), "hole or thin, lacy steel"},
		{"pinholes", "Pinholes", l(LookBlocked, LookGrounded), LookPrimed, Hours3(1, 2, 4), "needle pricks in filler or weld"},
		{"sand-through", "Sanded through to steel", l(LookBlocked), LookPrimed, Hours3(.5, 1, 2), "bright steel shows"},
		{"scratch-swelling", "Scratches swell up", l(LookGrounded, LookGrained, LookCleared, LookCut), LookBlocked, Hours3(2, 4, 7), "old scratches or edges map through"},
		{"colour-off", "Colour off or lots mixed", l(LookGrounded, LookFitted), LookGrounded, Hours3(1, 2, 4), "differs from the sample or a neighbour"},
		{"figure-wrong", "Figure wrong or mitre broken", l(LookGrained), LookGrained, Hours3(.5, 1, 3), "direction, scale or joint of the grain"},
		{"lifting", "Grain lifts or wrinkles", l(LookCleared), LookGrounded, Hours3(4, 7, 12), "wrinkled, lifted film"},
		{"fisheyes", "Fisheyes", l(LookPrimed, LookGrounded, LookCleared), LookCleared, Hours3(1, 2, 4), "round craters, silicone"},
		{"run", "Run or sag", l(LookCleared), LookCut, Hours3(.2, .5, 1.5), "a curtain or drop of clear"},
		{"nib", "Dust nib", l(LookCleared, LookCut), LookCut, Hours3(.2, .5, 1.5), "a grain of dust in the clear"},
		{"orange-peel", "Orange peel", l(LookCleared), LookCut, Hours3(.5, 1, 3), "surface like a peel"},
		{"pop", "Solvent pop", l(LookCleared), LookCleared, Hours3(2, 4, 8), "tiny bubbles, days later"},
		{"die-back", "Die-back", l(LookCut), LookCut, Hours3(1, 2, 4), "gloss lost weeks after cutting"},
		{"cut-through", "Cut through into the grain", l(LookCut), LookGrained, Hours3(4, 6, 10), "a pale patch where the grain is gone"},
		{"delamination", "Coat comes off", l(LookCut, LookFitted), LookStripped, Hours3(7, 10, 20), "film flakes or peels"},
		{"chip", "Chip or imprint at fitting", l(LookFitted), LookCleared, Hours3(1, 3, 6), "struck, pinched or marked"},
		{DefectOther, "Something else", nil, LookOther, Estimate{}, "say what in a few words"},
	}
}

// FindDefect finds a defect by key.
func FindDefect(key string) (Defect, bool) {
	i := slices.IndexFunc(Defects(), func(d Defect) bool { return d.Key == key })
	if i < 0 {
		return Defect{}, false
	}
	return Defects()[i], true
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
