package restoration

import "slices"

// Defects lists the table. What each looks like and comes from is common practice, no
// source, but for the film of clear, which a paint maker's bulletin prints.
func Defects() []Defect {
	return slices.Concat(metalDefects(), surfaceDefects(), colourDefects(), sprayedDefects(), lateDefects(),
		[]Defect{{DefectOther, "Something else", nil, LookOther, Estimate{}, "say what in a few words", nil}})
}

func looks(l ...Look) []Look { return l }

func metalDefects() []Defect {
	return []Defect{
		{"rust-through", "Rust-through found late", looks(LookStripped, LookPrimed, LookBlocked), LookRepaired, Hours3(2, 4, 8), "hole or thin, lacy steel",
			[]string{"rust inside a hem or seam", "graded before it was bare", "filler over thin steel"}},
		{"dent-missed", "Dent missed", looks(LookPrimed, LookBlocked, LookGrounded, LookCleared), LookRepaired, Hours3(1, 2.5, 5), "a hollow or bump in raking light",
			[]string{"no guide coat", "looked at in one light only", "blocked with a soft pad"}},
		{"flash-rust", "Flash rust under primer", looks(LookStripped, LookPrimed), LookStripped, Hours3(1, 2, 3), "brown bloom, brown dots in the primer",
			[]string{"bare too long or in damp air", "touched with bare hands", "stripper or acid not rinsed off"}},
	}
}

func surfaceDefects() []Defect {
	return []Defect{
		{"pinholes", "Pinholes", looks(LookBlocked, LookGrounded), LookPrimed, Hours3(1, 2, 4), "needle pricks in filler or weld",
			[]string{"air stirred into the filler", "porous weld or solder", "high-build too thick or too fast"}},
		{"sand-through", "Sanded through to steel", looks(LookBlocked), LookPrimed, Hours3(.5, 1, 2), "bright steel shows",
			[]string{"a high spot or an edge not taped", "paper too coarse", "too little high-build"}},
		{"scratch-swelling", "Scratches swell up", looks(LookGrounded, LookGrained, LookCleared, LookCut), LookBlocked, Hours3(2, 4, 7), "old scratches or edges map through",
			[]string{"paper too coarse before the ground", "primer not through-dry", "edges not feathered; strong thinner"}},
		{"blister", "Blisters", looks(LookPrimed, LookGrounded, LookCleared, LookFitted), LookStripped, Hours3(4, 7, 14), "raised domes, water or nothing inside",
			[]string{"water left in hems and holes after wet sanding", "salts or sweat under the film", "cold steel sweating in a warm booth"}},
	}
}

func colourDefects() []Defect {
	return []Defect{
		{"colour-off", "Colour off or lots mixed", looks(LookGrounded, LookFitted), LookGrounded, Hours3(1, 2, 4), "differs from the sample or a neighbour",
			[]string{"another lot, or tins not intermixed", "film too thin to hide", "matched under one lamp only"}},
		{"figure-wrong", "Figure wrong or mitre broken", looks(LookGrained), LookGrained, Hours3(.5, 1, 3), "direction, scale or joint of the grain",
			[]string{"grained without its neighbours beside it", "another hand", "plate or tool set at the wrong angle"}},
		{"lifting", "Grain lifts or wrinkles", looks(LookCleared), LookGrounded, Hours3(4, 7, 12), "wrinkled, lifted film",
			[]string{"grain coat not bone dry", "first clear too wet or its solvent too strong", "recoat window missed"}},
	}
}

func sprayedDefects() []Defect {
	return []Defect{
		{"fisheyes", "Fisheyes", looks(LookPrimed, LookGrounded, LookCleared), LookCleared, Hours3(1, 2, 4), "round craters, silicone",
			[]string{"silicone from polish or spray can", "oil in the compressed air", "not wiped with degreaser"}},
		{"run", "Run", looks(LookCleared), LookCut, Hours3(.2, .5, 1.5), "a drop or tear of clear",
			[]string{"too much at an edge or hole", "gun too near or too slow", "cold piece or too much thinner"}},
		{"sag", "Sag", looks(LookCleared), LookCut, Hours3(.3, .7, 2), "a curtain, a whole band has slid",
			[]string{"coats too wet", "too little flash time", "piece hung upright too soon"}},
		{"nib", "Dust nib", looks(LookCleared, LookCut), LookCut, Hours3(.2, .5, 1.5), "a grain of dust in the clear",
			[]string{"dirty filters, floor or clothes", "paint not strained", "booth opened too soon"}},
		{"orange-peel", "Orange peel", looks(LookCleared), LookCut, Hours3(.5, 1, 3), "surface like a peel",
			[]string{"too little thinner or air", "gun too far, coat too dry", "hot piece, thinner too fast"}},
		{"dry-spray", "Dry spray", looks(LookGrounded, LookCleared), LookCut, Hours3(.5, 1, 3), "rough and dull, a dry edge",
			[]string{"gun too far or too fast", "thinner too fast for the heat", "overspray of a neighbour"}},
		{"haze", "Haze, micro-bubbles", looks(LookCleared, LookCut), LookCleared, Hours3(2, 4, 8), "milky, no depth, gloss lost",
			[]string{"sprayed in damp air", "surface near the dew point", "water in the compressed air"}},
		{"pop", "Solvent pop", looks(LookCleared), LookCleared, Hours3(2, 4, 8), "tiny bubbles, days later",
			[]string{"too thick in one session", "too little flash time", "heat too soon, thinner too fast"}},
	}
}

// CausesIn lists the likely causes, the likeliest first, with their figures in the
// shop's unit. The film of clear is printed in both by a paint maker's bulletin.
func (d Defect) CausesIn(u Units) []string {
	switch {
	case d.Key != "delamination":
		return d.Causes
	case u == US:
		return append(slices.Clone(d.Causes), "under 2 mil of clear, or over 3 mil in a session")
	}
	return append(slices.Clone(d.Causes), "under 50 µm of clear, or over 75 µm in a session")
}

func lateDefects() []Defect {
	return []Defect{
		{"die-back", "Die-back", looks(LookCut), LookCut, Hours3(1, 2, 4), "gloss lost weeks after cutting",
			[]string{"cut before it had cured", "too thick in one session", "too little hardener, cold nights"}},
		{"cut-through", "Cut through into the grain", looks(LookCut), LookGrained, Hours3(4, 6, 10), "a pale patch where the grain is gone",
			[]string{"edge or bead not taped", "film not known, nothing measured", "paper too coarse, by machine"}},
		{"too-thin", "Too thin, under the floor", looks(LookCut, LookFitted), LookCleared, Hours3(1, 2, 4), "measured, or the grain looks bare",
			[]string{"too few coats or too much thinner", "cut further than the film allowed", "nothing measured before cutting"}},
		{"delamination", "Coat comes off", looks(LookCut, LookFitted), LookStripped, Hours3(7, 10, 20), "film flakes or peels",
			[]string{"recoat window missed, not scuffed", "dirt, wax or acid under the coat"}},
		{"chip", "Chip at fitting", looks(LookFitted), LookCleared, Hours3(1, 3, 6), "struck off to a lower coat",
			[]string{"struck by a tool or the body", "thread or clip not chased", "no tape on edges while fitting"}},
		{"imprint", "Imprint at fitting", looks(LookFitted), LookCut, Hours3(.5, 1, 3), "a pressed mark of clip, pad or wrapping",
			[]string{"clamped before it had cured", "wrapped or stacked too soon", "rubber or tape left on"}},
	}
}

// MadeAt is the look of the stage whose work usually makes the defect; "" where that is
// the stage at which it was found. Common practice, no source.
func (d Defect) MadeAt() Look {
	switch d.Key {
	case "rust-through", "flash-rust":
		return LookStripped
	case "pinholes":
		return LookPrimed
	case "dent-missed", "sand-through", "scratch-swelling", "blister":
		return LookBlocked
	case "colour-off":
		return LookGrounded
	case "figure-wrong":
		return LookGrained
	case "lifting", "run", "sag", "nib", "orange-peel", "haze", "pop", "delamination":
		return LookCleared
	case "die-back", "cut-through", "too-thin":
		return LookCut
	case "chip", "imprint":
		return LookFitted
	}
	return ""
}
