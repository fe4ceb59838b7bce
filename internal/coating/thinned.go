package coating

// SolidsThinned is the volume solids of the material ready to spray with more thinner
// than the sheet states: extra is a share of the mix, 0.05 for 5 % more.
func (m Material) SolidsThinned(extra float64) (float64, error) {
	vs, err := m.VolumeSolids()
	if err := firstOf(err, notNegative("thinned", "More thinner", extra)); err != nil {
		return 0, err
	}
	return MixVolumeSolids([]Part{{Volume: 1, VolumeSolids: vs}, {Volume: extra}})
}

// PartML is what one part gives to a volume ready to spray; 0 for a part that the
// sheet doesn't have. The thinner of the sheet comes after its parts.
func (m Material) PartML(part int, readyML float64) float64 {
	thinner := m.Thinner.share(m.Parts)
	sum := thinner
	for _, p := range m.Parts {
		sum += p.Share
	}
	switch {
	case sum <= 0 || part < 0 || part > len(m.Parts):
		return 0
	case part == len(m.Parts):
		return readyML * thinner / sum
	}
	return readyML * m.Parts[part].Share / sum
}

// Known tells whether anything is known of the clear: coats, or a gauge.
func (f Film) Known() bool {
	if f.ByGauge {
		return true
	}
	for _, l := range f.Layers {
		if l.Layer == Clear && !l.On.IsZero() {
			return true
		}
	}
	return false
}
