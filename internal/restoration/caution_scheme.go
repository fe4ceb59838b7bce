package restoration

import "slices"

// SchemeCautions lists what is shown of a stage where the material in the gun is not
// chosen yet but the scheme is: the cautions of every material that the scheme has for
// the stage, each said once. A layer for which it names none, or one that is not among
// materials, counts as not known.
func SchemeCautions(s Stage, scheme Scheme, materials []Material) []Caution {
	var list []Caution
	for _, m := range schemeMaterials(s, scheme, materials) {
		for _, c := range CautionsFor(s, m) {
			if !slices.Contains(list, c) {
				list = append(list, c)
			}
		}
	}
	if slices.ContainsFunc(list, func(c Caution) bool { return c.Text == cautionNCO }) {
		list = slices.DeleteFunc(list, func(c Caution) bool { return c.Text == cautionUnsure })
	}
	return list
}

// schemeMaterials are the materials that a scheme has for a stage, nil for each that is
// not known; a stage that isn't sprayed has the one nil.
func schemeMaterials(s Stage, scheme Scheme, materials []Material) []*Material {
	var found []*Material
	for _, layer := range LayersOf(s.Look) {
		var m *Material
		if i := slices.IndexFunc(materials, func(m Material) bool { return m.ID == scheme.Materials[layer] }); i >= 0 {
			m = &materials[i]
		}
		found = append(found, m)
	}
	return found
}
