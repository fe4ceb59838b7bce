package coating

// Range is what is known of a figure: it is hardly below Low, hardly above High, and
// Likely most of the time. The zero value is an exact nought.
type Range struct {
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
}

// Exactly is a figure without doubt.
func Exactly(x float64) Range { return Range{x, x, x} }

// Valid tells whether all three are numbers and 0 ≤ low ≤ likely ≤ high.
func (r Range) Valid() bool {
	return finite(r.High) && 0 <= r.Low && r.Low <= r.Likely && r.Likely <= r.High
}

// Plus adds point by point.
func (r Range) Plus(o Range) Range { return Range{r.Low + o.Low, r.Likely + o.Likely, r.High + o.High} }

// Minus takes o away: the low less the other's high, and so on, so that the range grows
// wider and never narrower. It may fall below zero.
func (r Range) Minus(o Range) Range {
	return Range{r.Low - o.High, r.Likely - o.Likely, r.High - o.Low}
}

// Times multiplies each point by f, which must not be negative.
func (r Range) Times(f float64) Range { return Range{r.Low * f, r.Likely * f, r.High * f} }

// NotBelow lifts each point to at least least.
func (r Range) NotBelow(least float64) Range {
	return Range{max(r.Low, least), max(r.Likely, least), max(r.High, least)}
}

// IsZero tells an exact nought.
func (r Range) IsZero() bool { return r == Range{} }
