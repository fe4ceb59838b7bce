package restoration

import "cmp"

// Colours of a car that has been given none: a warm brown ground under dark grain.
const (
	StockGround = "#9a6a3c"
	StockGrain  = "#3b2413"
)

// WithDefaults fills in what a new car needs and has not been given.
func (c Car) WithDefaults() Car {
	c.Quality = cmp.Or(c.Quality, QualityShow)
	c.Ground = cmp.Or(c.Ground, StockGround)
	c.Grain = cmp.Or(c.Grain, StockGrain)
	return c
}

// MetalSteel is the base metal of a piece of which nothing else is said.
const MetalSteel = "steel"

// WithDefaults fills in what a new piece needs and has not been given: worked on
// the bench, of steel, of the size class of its area (medium where that is not
// measured), coated with primer and ground on both faces.
func (d Details) WithDefaults() Details {
	d.Mounting = cmp.Or(d.Mounting, MountBench)
	d.Metal = cmp.Or(d.Metal, MetalSteel)
	switch {
	case d.Size == "" && d.AreaM2 > 0:
		d.Size = SizeOf(d.AreaM2)
	case d.Size == "":
		d.Size = SizeMedium
	}
	if d.BothM2 < d.AreaM2 {
		d.BothM2 = 2 * d.AreaM2
	}
	return d
}
