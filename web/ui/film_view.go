package ui

import (
	"math"
	"strconv"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// The picture's measures, in pixels. The width is left to the page; only heights are
// to scale.
const (
	filmPlot  = 250.0 // for the film, in the full picture; 250 µm fill it
	filmSmall = 128.0 // the same on the bench
	filmAir   = 16.0  // above it
	filmSteel = 30.0  // below it
	filmThin  = 4.0   // the least drawn of a layer under the clear
)

// filmBand is a stretch of the picture's height.
type filmBand struct {
	Layer    coating.Layer
	Name     string // of a session
	Y, H     float64
	UM       float64
	Enlarged bool // drawn thicker than to scale, so that it is seen
}

func (b filmBand) middle() float64 { return b.Y + b.H/2 }

// filmMark is a line across the picture; it isn't drawn when UM is 0.
type filmMark struct{ Y, UM float64 }

// filmSpot is a measured spot; X is a share of the picture's width.
type filmSpot struct {
	Key               string
	X, High, Mid, Low float64
	Measured          bool // else there is only the baseline, and Mid is where clear begins
}

type filmTick struct {
	Y    float64
	Text string
}

// filmView is where everything is drawn.
type filmView struct {
	Plot, Height, Base float64 // Base: where the steel begins
	Scale              float64 // pixels to the µm
	Zero               float64 // where the clear begins
	Surface            float64 // where it ends, most likely
	Under              []filmBand
	Sessions           []filmBand
	CoatLines          []float64
	Cut                filmBand // taken off the uppermost layer
	CutLayer           coating.Layer
	High, Low          float64
	Floor, Build       filmMark
	MayGo              filmBand
	Spots              []filmSpot
	Ticks              []filmTick
	Labels             []filmLabel
}

// full tells the large picture, which names what it shows, from the bench's.
func (v filmView) full() bool { return v.Plot == filmPlot }

// namesSessions tells whether the sessions are named within the cut; marked spots need
// the room for themselves.
func (v filmView) namesSessions() bool { return v.full() && len(v.Sessions) > 1 && len(v.Spots) == 0 }

// view places a film that is sound.
func (p FilmProps) view(plot float64) filmView {
	v := filmView{Plot: plot, Base: filmAir + plot, Height: filmAir + plot + filmSteel}
	v.Scale = p.scale(plot)
	v.stack(p.Film)
	v.clear(p)
	v.Floor, v.Build = v.mark(p.Finish.FloorUM), v.mark(p.Finish.BuildUM)
	v.spots(p.Film.Spots)
	v.ticks(p.Units)
	v.Labels = spread(p.labels(v), filmAir, v.Height-4)
	return v
}

// scale is the pixels of a µm: 250 µm fill the picture, and what is thicker is drawn
// smaller by steps of √2, so that pieces of common films compare at a glance.
func (p FilmProps) scale(plot float64) float64 {
	f := p.Film
	above := max(f.Clear.Likely+f.CutAway.Likely, f.Clear.High, p.Finish.FloorUM, p.Finish.BuildUM)
	for _, s := range f.Spots {
		above = max(above, s.ClearUM.High)
	}
	if top := topLayer(f); top.Layer != coating.Clear {
		above = max(above, top.Cut.Likely)
	}
	scale := plot / filmPlot
	for {
		drawn := above * scale
		for _, l := range f.Layers {
			if l.Layer != coating.Clear {
				drawn += thick(l.Left.Likely, scale)
			}
		}
		if drawn <= plot {
			return scale
		}
		scale /= math.Sqrt2
	}
}

// thick is the drawn height of a layer under the clear.
func thick(um, scale float64) float64 {
	if um <= 0 {
		return 0
	}
	return max(um*scale, filmThin)
}

func topLayer(f coating.Film) coating.LayerFilm {
	if n := len(f.Layers); n > 0 {
		return f.Layers[n-1]
	}
	return coating.LayerFilm{}
}

// stack lays the layers under the clear upon the steel.
func (v *filmView) stack(f coating.Film) {
	v.Zero = v.Base
	for _, l := range f.Layers {
		h := thick(l.Left.Likely, v.Scale)
		if l.Layer == coating.Clear || h == 0 {
			continue
		}
		v.Zero -= h
		v.Under = append(v.Under, filmBand{Layer: l.Layer, Y: v.Zero, H: h, UM: l.Left.Likely, Enlarged: l.Left.Likely*v.Scale < filmThin})
	}
}

// above is the height of so much clear.
func (v filmView) above(um float64) float64 { return v.Zero - um*v.Scale }

func (v filmView) mark(um float64) filmMark { return filmMark{v.above(um), um} }

// clear lays the clear upon the rest, with what was cut off it.
func (v *filmView) clear(p FilmProps) {
	f := p.Film
	v.Surface, v.High, v.Low = v.above(f.Clear.Likely), v.above(f.Clear.High), v.above(f.Clear.Low)
	cut := f.CutAway.Likely
	v.CutLayer = coating.Clear
	if !f.Known() {
		top := topLayer(f)
		cut, v.CutLayer = top.Cut.Likely, top.Layer
	}
	v.Cut = filmBand{Layer: v.CutLayer, Y: v.Surface - cut*v.Scale, H: cut * v.Scale, UM: cut}
	if !f.Known() {
		return
	}
	if f.MayGoUM > 0 && !f.BelowFloor {
		v.MayGo = filmBand{Y: v.Low, H: f.MayGoUM * v.Scale, UM: f.MayGoUM}
	}
	v.sessions(f)
	v.coats(p.Coats, f)
}

// sessions parts what was put on as it was sprayed: where the gauge disagrees with the
// coats, each session has its share of what the gauge found. Only what is left is drawn.
func (v *filmView) sessions(f coating.Film) {
	var on float64
	for _, s := range f.Sessions {
		on += s.On.Likely
	}
	if on <= 0 {
		v.Sessions = []filmBand{{Layer: coating.Clear, Y: v.Surface, H: v.Zero - v.Surface}}
		return
	}
	share, y := (v.Zero-v.Cut.Y)/on, v.Zero
	for _, s := range f.Sessions {
		top := max(y-s.On.Likely*share, v.Surface)
		if top < y {
			v.Sessions = append(v.Sessions, filmBand{Layer: coating.Clear, Name: s.Name, Y: top, H: y - top, UM: s.On.Likely})
		}
		y = top
	}
}

// coats are the lines between coats, those within what was cut off among them.
func (v *filmView) coats(coats []float64, f coating.Film) {
	var on float64
	for _, c := range coats {
		on += c
	}
	if on <= 0 {
		return
	}
	share, y := (v.Zero-v.Cut.Y)/on, v.Zero
	for _, c := range coats[:len(coats)-1] {
		y -= c * share
		v.CoatLines = append(v.CoatLines, y)
	}
}

// mostKeys are the spots that have room for a figure each.
const mostKeys = 9

func (v *filmView) spots(spots []coating.Spot) {
	for i, s := range spots {
		at := filmSpot{X: .34 + .6*(float64(i)+.5)/float64(len(spots)), Measured: s.Measured, Mid: v.Zero}
		if v.full() && len(spots) <= mostKeys {
			at.Key = strconv.Itoa(i + 1)
		}
		if s.Measured {
			at.High, at.Mid, at.Low = v.above(s.ClearUM.High), v.above(s.ClearUM.Likely), v.above(s.ClearUM.Low)
		}
		v.Spots = append(v.Spots, at)
	}
}

// ticks count the clear upwards from where it begins, in round figures of the shop's unit.
func (v *filmView) ticks(units restoration.Units) {
	unit, steps := 1.0, []float64{10, 20, 50}
	if units == restoration.US {
		unit, steps = coating.UMFromMil(1), []float64{1, 2, 5}
	}
	const apart = 24
	step := steps[0]
	for i := 0; step*unit*v.Scale < apart; i++ {
		step = steps[i%3] * math.Pow(10, float64(i/3))
	}
	for n := 0.0; v.above(n*unit) >= filmAir-8; n += step {
		v.Ticks = append(v.Ticks, filmTick{v.above(n * unit), strconv.FormatFloat(n, 'f', -1, 64)})
	}
}
