package coating

// Check tells what in a material's figures can't be right, field by field; nothing when
// all may be used. Field names are those of its JSON.
func Check(m Material) []Fault { return nil }
