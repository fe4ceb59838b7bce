package restoration

// UsualCoats is how many coats of a material make its layer, where no scheme says it;
// common practice, no source.
func (m Material) UsualCoats() int { return usualCoats(m.Kind) }
