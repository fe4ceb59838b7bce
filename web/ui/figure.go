package ui

import (
	"math"
	"math/rand/v2"
	"strings"
	"sync"
)

// A figure is the drawing of the grain: one board's worth of lines, which the
// pieces of a car are cut from. It is drawn once and tinted by every scheme.
//
// Both boards are geometry, not ornament. The flat-sawn one cuts a plane through
// the rings of a bent trunk, so rings close into pointed arches; the quiet one
// lets near-parallel rings flow round a knot or two. The board repeats without a
// seam along its length.
type figure struct {
	Width, Height float64
	Soft          string // wide, faint strokes: the first, translucent pass of the brush
	Lines         string // the rings
	Fine          string // thin rings between them
	Pores         string // broken short lines along the flow
	Knots         string
}

const (
	boardW = 320.0
	boardH = 112.0
	// boardStep is the distance between the points of a line; smaller shows no
	// difference at the sizes drawn and costs bytes on every page.
	boardStep = 20.0
)

type figureSet struct{ Quiet, Flat figure }

// figures draws both boards on first use. The seeds were picked by eye.
var figures = sync.OnceValue(func() figureSet {
	return figureSet{Quiet: quietBoard(7), Flat: flatBoard(23)}
})

type point struct{ X, Y float64 }

// quietBoard is a board cut near the quarter: rings side by side, parted by knots.
func quietBoard(seed uint64) figure {
	r := rand.New(rand.NewPCG(seed, 0x5c))
	sway, drift := newNoise(r, 5, 4), newNoise(r, 11, 6)
	knots := []point{
		{boardW * (0.18 + 0.1*r.Float64()), boardH * 0.3},
		{boardW * (0.66 + 0.1*r.Float64()), boardH * 0.76},
	}
	height := func(x, y0 float64) float64 {
		y := y0 + 6*sway.at(x/boardW, y0/boardH) + 1.6*drift.at(x/boardW, y0/boardH)
		for _, k := range knots {
			y += part(x-k.X, y0-k.Y)
		}
		return y
	}
	var pens pens
	for y0 := 0.0; y0 < boardH; y0 += 2.1 + 2.6*r.Float64() {
		line := sampled(func(x float64) float64 { return height(x, y0) })
		pens.draw(r, line)
		// What leaves the board at one edge comes in at the other.
		if y0 < 16 {
			pens.draw(r, shifted(line, boardH))
		}
		if y0 > boardH-16 {
			pens.draw(r, shifted(line, -boardH))
		}
	}
	for _, k := range knots {
		centre := point{k.X, height(k.X, k.Y)}
		for _, size := range []float64{1.2, 2.6, 4.4} {
			pens.knot(r, centre, size)
		}
	}
	return pens.figure()
}

// part is how far a line at a distance from a knot makes room for it.
func part(dx, dy float64) float64 {
	push := 5.2 * math.Exp(-(dx*dx)/(17*17)) * math.Exp(-math.Abs(dy)/15)
	return math.Copysign(push, dy)
}

// flatBoard is a flat-sawn board. The cut runs at a depth from the pith that
// changes along the board; a ring of radius R shows at ±√(R² − depth²).
func flatBoard(seed uint64) figure {
	r := rand.New(rand.NewPCG(seed, 0x5c))
	depthNoise, pithNoise, wobble := newNoise(r, 4, 1), newNoise(r, 3, 1), newNoise(r, 13, 5)
	depth := func(x float64) float64 { return 26 + 30*depthNoise.at(x/boardW, 0) }
	pith := func(x float64) float64 { return boardH/2 + 9*pithNoise.at(x/boardW, 0) }
	var pens pens
	for radius := 4.0; radius < boardH*0.75; radius += 2.3 + 2.7*r.Float64() {
		shake := func(x float64) float64 { return 0.9 * wobble.at(x/boardW, radius/boardH) }
		for _, run := range runs(func(x float64) bool { return math.Abs(depth(x)) < radius }) {
			reach := func(x float64) float64 {
				d := depth(x)
				return math.Sqrt(math.Max(radius*radius-d*d, 0)) + shake(x)
			}
			upper := between(run, func(x float64) float64 { return pith(x) - reach(x) })
			lower := between(run, func(x float64) float64 { return pith(x) + reach(x) })
			pens.draw(r, upper)
			pens.draw(r, lower)
		}
	}
	return pens.figure()
}

// runs are the stretches of the board over which a ring shows, each from first
// to last x, to half a unit.
func runs(shows func(x float64) bool) [][2]float64 {
	var found [][2]float64
	open := false
	for x := -boardStep; x <= boardW+boardStep; x += 0.5 {
		switch {
		case shows(x) && !open:
			found = append(found, [2]float64{x, x})
			open = true
		case shows(x):
			found[len(found)-1][1] = x
		default:
			open = false
		}
	}
	return found
}

// between samples a line over a run, closer at both ends, where an arch turns.
func between(run [2]float64, y func(x float64) float64) []point {
	var line []point
	add := func(x float64) { line = append(line, point{x, y(x)}) }
	length := run[1] - run[0]
	for _, d := range []float64{0, 0.7, 2, 5} {
		if d < length/2 {
			add(run[0] + d)
		}
	}
	for x := run[0] + boardStep; x < run[1]-boardStep*0.7; x += boardStep {
		add(x)
	}
	for _, d := range []float64{5, 2, 0.7, 0} {
		if d < length/2 {
			add(run[1] - d)
		}
	}
	return line
}

func sampled(y func(x float64) float64) []point {
	var line []point
	for x := -boardStep; x <= boardW+boardStep; x += boardStep {
		line = append(line, point{x, y(x)})
	}
	return line
}

func shifted(line []point, dy float64) []point {
	moved := make([]point, len(line))
	for i, p := range line {
		moved[i] = point{p.X, p.Y + dy}
	}
	return moved
}

// pens gathers the lines by the brush that draws them: four path elements
// instead of a hundred.
type pens struct{ soft, lines, fine, pores, knots strings.Builder }

func (p *pens) draw(r *rand.Rand, line []point) {
	if len(line) < 3 {
		return
	}
	path := smooth(line)
	switch kind := r.Float64(); {
	case kind < 0.22:
		p.soft.WriteString(path)
		p.lines.WriteString(path)
	case kind < 0.55:
		p.lines.WriteString(path)
	case kind < 0.85:
		p.fine.WriteString(path)
	default:
		p.pores.WriteString(path)
	}
}

// knot is a ring round a knot, never quite a circle.
func (p *pens) knot(r *rand.Rand, c point, size float64) {
	const corners = 7
	var ring []point
	for i := range corners + 2 {
		angle := 2 * math.Pi * float64(i%corners) / corners
		reach := size * (0.85 + 0.3*r.Float64())
		ring = append(ring, point{c.X + 1.5*reach*math.Cos(angle), c.Y + 0.8*reach*math.Sin(angle)})
	}
	p.knots.WriteString(smooth(ring))
}

func (p *pens) figure() figure {
	return figure{
		Width: boardW, Height: boardH,
		Soft: p.soft.String(), Lines: p.lines.String(), Fine: p.fine.String(),
		Pores: p.pores.String(), Knots: p.knots.String(),
	}
}

// smooth is a path that the points steer: it runs through the middle of every
// pair, which takes the corners out.
func smooth(line []point) string {
	var b strings.Builder
	b.WriteString("M" + pair(line[0]))
	at := roundPoint(line[0])
	for i := 1; i < len(line)-1; i++ {
		steer := roundPoint(line[i])
		mid := roundPoint(point{(line[i].X + line[i+1].X) / 2, (line[i].Y + line[i+1].Y) / 2})
		if i == len(line)-2 {
			mid = roundPoint(line[i+1])
		}
		b.WriteString("q" + pair(minus(steer, at)) + " " + pair(minus(mid, at)))
		at = mid
	}
	return b.String()
}

func pair(p point) string      { return coord(p.X) + " " + coord(p.Y) }
func minus(a, b point) point   { return point{a.X - b.X, a.Y - b.Y} }
func roundPoint(p point) point { return point{round1(p.X), round1(p.Y)} }
func round1(v float64) float64 { return math.Round(v*10) / 10 }
