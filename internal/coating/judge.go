package coating

import "slices"

// open takes a film up again. Its slices are copied, so that it stays as it is.
func (b *book) open(f Film) {
	for _, l := range f.Layers {
		b.layers[l.Layer.height()] = l
	}
	f.Spots, f.Sessions = slices.Clone(f.Spots), slices.Clone(f.Sessions)
	b.film, b.base = f, make([]float64, len(f.Spots))
}

// close works out everything that follows from the layers, spots and sessions.
func (b *book) close(p Policy) Film {
	f := &b.film
	order := Layers()
	f.Layers = make([]LayerFilm, 0, len(b.layers))
	for i, l := range b.layers {
		if l.Layer = order[i]; !l.On.IsZero() || !l.Cut.IsZero() {
			f.Layers = append(f.Layers, l)
		}
	}
	clear := b.layers[Clear.height()]
	f.Clear, f.Since, f.ByGauge = worst(f.Spots, clear.Left)
	f.CutAway = clear.Cut
	f.judgeSessions(p)
	f.judgeFloor(p, !clear.On.IsZero() || f.ByGauge)
	return *f
}

// worst is the measured spot with the lowest low, else the estimate.
func worst(spots []Spot, estimate Range) (clear Range, since Since, byGauge bool) {
	clear = estimate
	for _, s := range spots {
		if s.Measured && (!byGauge || s.ClearUM.Low < clear.Low) {
			clear, since, byGauge = s.ClearUM, s.Since, true
		}
	}
	return clear, since, byGauge
}

func (f *Film) judgeSessions(p Policy) {
	f.SessionUM, f.SessionOver = Range{}, false
	for i := range f.Sessions {
		s := &f.Sessions[i]
		if s.Name == Stayed {
			continue
		}
		s.Over = p.SessionLimitUM > 0 && s.On.Likely > p.SessionLimitUM
		f.SessionUM, f.SessionOver = s.On, s.Over
	}
}

// judgeFloor finds what edges hold and what may go. An edge got the edge factor's part
// of what was put on, but lost as much to the cut as the flat: what is left there is
// factor × left − (1 − factor) × cut away.
func (f *Film) judgeFloor(p Policy, clearOn bool) {
	edge := p.edge()
	f.Edge = f.Clear.Times(edge).Minus(f.CutAway.Times(1 - edge)).NotBelow(0)
	f.MayGoUM = f.Edge.Low - p.FloorUM
	f.Built = clearOn && f.Clear.Likely >= p.BuildUM
	f.BelowFloor = clearOn && f.MayGoUM < 0
	f.NearFloor = clearOn && f.MayGoUM >= 0 && f.MayGoUM < p.WarnUM
}
