package demo

import (
	"image"
	"image/color"
	"math"
	"strconv"

	"scumble/internal/restoration"
)

// hexColour reads "#9a6a3c"; what is none is black.
func hexColour(s string) color.RGBA {
	if len(s) != 7 {
		return color.RGBA{A: 255}
	}
	v, _ := strconv.ParseUint(s[1:], 16, 32)
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}
}

// The size of a drawn photo, in pixels.
const (
	photoWidth  = 480
	photoHeight = 360
)

// draw makes a picture of a piece on the bench as it looks at a stage: invented, and drawn
// from the car's own two colours. seed cuts the grain from another spot of the board.
func draw(look restoration.Look, ground, grain color.RGBA, seed float64) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, photoWidth, photoHeight))
	for y := range photoHeight {
		for x := range photoWidth {
			u, v := float64(x)/photoWidth, float64(y)/photoHeight
			img.SetRGBA(x, y, lit(point(look, ground, grain, seed, u, v), u, v))
		}
	}
	return img
}

// point is the colour at a point of the picture, from 0 to 1 either way: the piece is a
// rounded panel with a hole for a dial, on a grey bench.
func point(look restoration.Look, ground, grain color.RGBA, seed, u, v float64) color.RGBA {
	dx, dy := math.Max(math.Abs(u-0.5)-0.36, 0), math.Max(math.Abs(v-0.52)-0.16, 0)
	off := math.Hypot(dx, dy)                // outside of the panel's inner frame
	hole := math.Hypot((u-0.36)*4/3, v-0.52) // from the middle of the dial
	switch {
	case off > 0.075 && off < 0.095, hole < 0.115 && hole > 0.105:
		return color.RGBA{44, 42, 40, 255} // the shadow, and the rim
	case off > 0.075, hole < 0.105:
		return color.RGBA{168, 165, 158, 255}
	}
	return face(look, ground, grain, seed, u, v)
}

// face is the colour of the piece itself.
func face(look restoration.Look, ground, grain color.RGBA, seed, u, v float64) color.RGBA {
	figure := math.Sin(46*(v+0.05*math.Sin(5*u+seed)+0.02*math.Sin(17*u+seed*1.7))) + 0.4*math.Sin(150*v+9*math.Sin(4*u+seed))
	wood := mix(ground, grain, 0.5+0.36*figure)
	switch look {
	case restoration.LookBare: // worn through to rust
		if worn := math.Sin(9*u+seed) * math.Sin(11*v+seed*2) * math.Sin(23*u*v+seed); worn > 0.35 {
			return mix(color.RGBA{112, 66, 40, 255}, color.RGBA{70, 52, 46, 255}, 0.5+0.5*math.Sin(90*u+70*v))
		}
		return mix(wood, color.RGBA{120, 108, 92, 255}, 0.45)
	case restoration.LookStripped:
		return mix(color.RGBA{150, 154, 158, 255}, color.RGBA{190, 194, 198, 255}, 0.5+0.5*math.Sin(420*v+3*math.Sin(8*u)))
	case restoration.LookGrounded:
		return ground
	case restoration.LookCleared:
		shine := math.Exp(-math.Pow((u+v*0.6-0.75)*9, 2))
		return mix(wood, color.RGBA{255, 252, 244, 255}, 0.75*shine)
	}
	return wood
}

// mix goes from one colour to another by a share from 0 to 1.
func mix(a, b color.RGBA, share float64) color.RGBA {
	share = min(max(share, 0), 1)
	by := func(a, b uint8) uint8 { return uint8(float64(a) + share*(float64(b)-float64(a))) }
	return color.RGBA{by(a.R, b.R), by(a.G, b.G), by(a.B, b.B), 255}
}

// lit lets light fall from the upper left.
func lit(c color.RGBA, u, v float64) color.RGBA {
	by := 1.08 - 0.22*math.Hypot(u-0.3, v-0.25)
	bright := func(b uint8) uint8 { return uint8(min(float64(b)*by, 255)) }
	return color.RGBA{bright(c.R), bright(c.G), bright(c.B), 255}
}
