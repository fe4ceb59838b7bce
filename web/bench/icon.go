package bench

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"net/http"
	"sync"
)

// iconSides are the sizes of the icon that home screens ask for, in pixels.
var iconSides = []int{192, 512}

func serveManifest(w http.ResponseWriter, _ *http.Request) {
	type icon struct {
		Src     string `json:"src"`
		Sizes   string `json:"sizes"`
		Type    string `json:"type"`
		Purpose string `json:"purpose"`
	}
	var icons []icon
	for _, side := range iconSides {
		icons = append(icons, icon{fmt.Sprintf("/bench/icon-%d.png", side), fmt.Sprintf("%dx%d", side, side), "image/png", "any maskable"})
	}
	w.Header().Set("Content-Type", "application/manifest+json")
	_ = json.NewEncoder(w).Encode(map[string]any{
		"id": "/bench", "name": "Scumble bench", "short_name": "Bench", "start_url": "/bench", "scope": "/bench",
		"display": "standalone", "background_color": "#fbfaf6", "theme_color": "#ffffff", "icons": icons,
	})
}

func serveIcon(side int) http.HandlerFunc {
	drawn := sync.OnceValue(func() []byte { return drawIcon(side) })
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "image/png")
		_, _ = w.Write(drawn()) // the browser hung up: nobody is left to tell
	}
}

// The colours of the mark, as in mark.svg.
var (
	iconPaper = color.RGBA{0xfb, 0xfa, 0xf6, 0xff}
	iconWood  = color.RGBA{0x9a, 0x6a, 0x3c, 0xff}
	iconGrain = color.RGBA{0x3f, 0x24, 0x13, 0xff}
	iconEdge  = color.RGBA{0x2b, 0x24, 0x20, 0xff}
)

// drawIcon draws the mark, a grained board with round ends, on paper as a PNG. The board
// stands well inside the square, so that a home screen may cut a circle out of it.
func drawIcon(side int) []byte {
	const fine = 4 // samples a pixel, each way
	img := image.NewRGBA(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			var sum [3]int
			for i := range fine * fine {
				at := func(p, k int) float64 { return (float64(p) + (float64(k)+.5)/fine) / float64(side) }
				c := iconAt(at(x, i%fine), at(y, i/fine))
				sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
			}
			mean := func(n int) uint8 { return uint8(n / (fine * fine)) }
			img.SetRGBA(x, y, color.RGBA{mean(sum[0]), mean(sum[1]), mean(sum[2]), 0xff})
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil { // memory takes all
		panic(err)
	}
	return out.Bytes()
}

// iconAt gives the colour of a point; both ways go from 0 to 1.
func iconAt(x, y float64) color.RGBA {
	const halfW, halfH, round, edge = .34, .22, .15, .018
	dx, dy := max(math.Abs(x-.5)-halfW+round, 0), max(math.Abs(y-.5)-halfH+round, 0)
	switch out := math.Hypot(dx, dy) - round; {
	case out > 0:
		return iconPaper
	case out > -edge:
		return iconEdge
	}
	for _, line := range []float64{-.11, -.035, .04, .115} {
		wave := line + .022*math.Sin(9*x+30*line) + .008*math.Sin(23*x-20*line)
		if math.Abs(y-.5-wave) < .011 {
			return iconGrain
		}
	}
	return iconWood
}
