package ui

import (
	"math"
	"math/rand/v2"
	"strings"
)

// noise is smooth chance over a square that repeats in both directions, from
// −1 to 1: values at the corners of a lattice, eased between.
type noise struct {
	cols, rows int
	values     []float64
}

func newNoise(r *rand.Rand, cols, rows int) noise {
	n := noise{cols: cols, rows: rows, values: make([]float64, cols*rows)}
	for i := range n.values {
		n.values[i] = 2*r.Float64() - 1
	}
	return n
}

// at reads the noise at u, v, each a share of the square's side.
func (n noise) at(u, v float64) float64 {
	col, s := fraction(u * float64(n.cols))
	row, t := fraction(v * float64(n.rows))
	corner := func(c, r int) float64 { return n.values[wrap(r, n.rows)*n.cols+wrap(c, n.cols)] }
	s, t = ease(s), ease(t)
	return lerp(
		lerp(corner(col, row), corner(col+1, row), s),
		lerp(corner(col, row+1), corner(col+1, row+1), s), t)
}

// specks is a tile of dots as one path: a round line cap makes a dot of a line
// of no length. They gather in drifts, as guide coat stays in low places.
func specks(seed uint64, n int, w, h float64) string {
	r := rand.New(rand.NewPCG(seed, 0x67))
	low := newNoise(r, 4, 3)
	var b strings.Builder
	for placed := 0; placed < n; {
		x, y := r.Float64()*w, r.Float64()*h
		if low.at(x/w, y/h) < 1.6*r.Float64()-1 {
			continue
		}
		b.WriteString("M" + coord(x) + " " + coord(y) + "h0")
		placed++
	}
	return b.String()
}

// streaks is a tile of short straight lines along the length, as a brush or a
// sanding block leaves them.
func streaks(seed uint64, n int, w, h, longest float64) string {
	r := rand.New(rand.NewPCG(seed, 0x73))
	var b strings.Builder
	for range n {
		length := longest * (0.25 + 0.75*r.Float64())
		b.WriteString("M" + coord(r.Float64()*w-length/2) + " " + coord(r.Float64()*h) + "h" + coord(length))
	}
	return b.String()
}

// cracks is a tile of crazing: short broken runs that turn.
func cracks(seed uint64, n int, w, h float64) string {
	r := rand.New(rand.NewPCG(seed, 0x63))
	var b strings.Builder
	for range n {
		at := point{r.Float64() * w, r.Float64() * h}
		b.WriteString("M" + pair(at))
		heading := 2 * math.Pi * r.Float64()
		for range 3 + r.IntN(3) {
			heading += 1.6 * (r.Float64() - 0.5)
			step := 2 + 4*r.Float64()
			b.WriteString("l" + coord(step*math.Cos(heading)) + " " + coord(step*math.Sin(heading)))
		}
	}
	return b.String()
}

func lerp(a, b, t float64) float64 { return a + (b-a)*t }
func ease(t float64) float64       { return t * t * (3 - 2*t) }
func wrap(i, n int) int            { return ((i % n) + n) % n }
func fraction(v float64) (int, float64) {
	whole := math.Floor(v)
	return int(whole), v - whole
}
