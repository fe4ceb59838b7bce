package coating

import "math"

// Policy is what the shop has settled about the clear.
type Policy struct {
	FloorUM        float64 // the least clear over the grain, at every spot
	WarnUM         float64 // this much above the floor begins the warning
	EdgeFactor     float64 // what edges hold of the flat's film, 0 to 1; 0 counts as 1
	SessionLimitUM float64 // dry clear of one session; 0 for none
	BuildUM        float64 // clear to reach before cutting; 0 for none
}

// UsualPolicy is the policy to begin with: floor 50 µm, sessions to 75 µm (a paint maker's
// bulletin asks for 50–64 µm finished and warns over 75), warning 10 µm above the floor,
// build 100 µm (common practice, no source). It judges the flat: edges hold 0.3 to 0.6 of
// it and crests of beads 0.6 to 0.8 (common practice, no source), and are taped when cutting.
func UsualPolicy() Policy {
	return Policy{FloorUM: 50, WarnUM: 10, EdgeFactor: 1, SessionLimitUM: 75, BuildUM: 100}
}

// edge is the edge factor in use.
func (p Policy) edge() float64 {
	if p.EdgeFactor > 0 && p.EdgeFactor <= 1 {
		return p.EdgeFactor
	}
	return 1
}

// LayerFilm is one layer by its coats and cuts alone, since it was last stripped.
type LayerFilm struct {
	Layer         Layer
	On, Cut, Left Range // Left is never below nought: what is gone can't be cut
}

// Spot is a marked spot that was measured.
type Spot struct {
	Name     string
	Based    bool    // a baseline stands
	BaseUM   float64 // its mean, before the first clear
	TotalUM  float64 // mean of the last measurement; 0 when there was only the baseline
	ClearUM  Range   // clear by gauge, coats and cuts since counted in; zero without both means
	Measured bool    // baseline and a later measurement stand: ClearUM counts
	Since    Since   // what was done to the clear since TotalUM was measured
}

// Since is what was done to the clear after a measurement of it.
type Since struct{ Coated, Cut bool }

// SessionFilm is the clear put on in one session.
type SessionFilm struct {
	Name string
	On   Range
	Over bool // the likely film is over the limit
}

// Film is what a piece carries.
type Film struct {
	Layers   []LayerFilm // those with anything on or cut, from the steel up
	Clear    Range       // clear left on the flat: by gauge where it was measured, else by coats and cuts
	Edge     Range       // clear left at the edges, by the policy's edge factor
	CutAway  Range       // what was taken off the clear since it was begun
	MayGoUM  float64     // what may still be cut: the low of Edge − floor; negative under the floor
	ByGauge  bool        // Clear comes from the worst measured spot
	Since    Since       // of that spot: Clear is its gauge's figure less the cuts and with the coats since
	Gone     bool        // coats of clear were logged, and none of them counts any more; set by who knows the piece
	Spots    []Spot
	Sessions []SessionFilm // of clear, in their order

	SessionUM   Range // clear of the last session
	SessionOver bool  // it is over the limit
	Built       bool  // the likely clear has reached the build
	NearFloor   bool  // clear is on, above the floor but within the warning
	BelowFloor  bool  // clear is on and may lie under the floor; so does a clear not yet built
	LeftOut     []int // places of deeds that could not be counted: see [Deed.Check], or a baseline after clear
}

// Measure computes what a piece carries from all that was done to it. A measurement with
// a baseline on its spot overrides the estimate from then on; the spot with the lowest
// low counts for the piece. Any deed on a layer under the clear voids the baselines, since
// the film that they measured has changed.
func Measure(deeds []Deed, p Policy) Film {
	var b book
	for i, d := range deeds {
		if d.Check() != nil || !b.enter(d) {
			b.film.LeftOut = append(b.film.LeftOut, i)
		}
	}
	return b.close(p)
}

// After is what a planned cut of the clear would leave: the warning before it. film is
// one that [Measure] gave, and is not changed. A cut that is no valid range counts as one
// that takes everything, so that it is warned of.
func After(film Film, cut Range, p Policy) Film {
	if !cut.Valid() {
		cut = Exactly(film.Clear.High)
	}
	var b book
	b.open(film)
	b.cut(Clear, cut)
	return b.close(p)
}

// book is a ledger while it is read.
type book struct {
	film   Film
	layers [5]LayerFilm
	base   []float64 // variance of the mean of each spot's baseline
}

// enter counts a checked deed. False for a baseline that comes after clear.
func (b *book) enter(d Deed) bool {
	switch {
	case d.Coat != nil:
		b.coat(*d.Coat)
	case d.Cut != nil:
		b.cut(d.Cut.Layer, d.Cut.OffUM)
	case d.Strip != nil:
		b.strip(d.Strip.Layer)
	default:
		return b.gauge(*d.Gauge)
	}
	return true
}

func (b *book) coat(c Coat) {
	l := &b.layers[c.Layer.height()]
	l.On, l.Left = l.On.Plus(c.DryUM), l.Left.Plus(c.DryUM)
	if c.Layer != Clear {
		b.voidSpots()
		return
	}
	for i := range b.film.Spots {
		s := &b.film.Spots[i]
		s.Since.Coated = true
		if s.Measured {
			s.ClearUM = s.ClearUM.Plus(c.DryUM)
		}
	}
	n := len(b.film.Sessions)
	if n == 0 || b.film.Sessions[n-1].Name != c.Session {
		b.film.Sessions = append(b.film.Sessions, SessionFilm{Name: c.Session})
		n++
	}
	last := &b.film.Sessions[n-1]
	last.On = last.On.Plus(c.DryUM)
}

func (b *book) cut(layer Layer, off Range) {
	l := &b.layers[layer.height()]
	l.Cut, l.Left = l.Cut.Plus(off), l.Left.Minus(off).NotBelow(0)
	if layer != Clear {
		b.voidSpots()
		return
	}
	for i := range b.film.Spots {
		s := &b.film.Spots[i]
		s.Since.Cut = true
		if s.Measured {
			s.ClearUM = s.ClearUM.Minus(off).NotBelow(0)
		}
	}
}

func (b *book) strip(layer Layer) {
	for i := layer.height(); i < len(b.layers); i++ {
		b.layers[i] = LayerFilm{}
	}
	b.film.Sessions = nil
	b.voidSpots()
}

func (b *book) voidSpots() { b.film.Spots, b.base = nil, nil }

func (b *book) gauge(g Gauge) bool {
	mean, n := g.mean()
	variance := g.SigmaUM * g.SigmaUM / float64(n)
	s, base := b.spot(g.Spot)
	if g.Baseline {
		if !b.layers[Clear.height()].On.IsZero() {
			return false
		}
		*s, *base = Spot{Name: g.Spot, Based: true, BaseUM: mean}, variance
		return true
	}
	s.TotalUM, s.Since = mean, Since{}
	if s.Based {
		s.Measured, s.ClearUM = true, difference(mean-s.BaseUM, variance+*base)
	}
	return true
}

// confidence is how many standard deviations a range by gauge reaches each way: 95 %.
const confidence = 1.96

func difference(um, variance float64) Range {
	e := confidence * math.Sqrt(variance)
	return Range{um - e, um, um + e}.NotBelow(0)
}

// spot finds a spot, or begins it.
func (b *book) spot(name string) (*Spot, *float64) {
	for i := range b.film.Spots {
		if b.film.Spots[i].Name == name {
			return &b.film.Spots[i], &b.base[i]
		}
	}
	b.film.Spots, b.base = append(b.film.Spots, Spot{Name: name}), append(b.base, 0)
	return &b.film.Spots[len(b.film.Spots)-1], &b.base[len(b.base)-1]
}
