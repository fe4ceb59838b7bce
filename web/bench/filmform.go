package bench

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// film reads what a form of the film says beyond its kind.
func (p *formParser) film(in *Incoming) {
	switch in.Kind {
	case restoration.KindCoat:
		in.Coat = p.coat()
	case restoration.KindCutPass:
		in.Cut = &restoration.CutPass{Grade: p.text("cut.grade"), Wet: p.text("cut.wet") != ""}
		if in.Cut.Grade == "" {
			p.fault("", "Touch the grade.")
		}
	case restoration.KindReading:
		in.Reading = p.reading()
	case restoration.KindStrike:
		in.Ref = p.id("ref")
	}
}

func (p *formParser) coat() *restoration.Coat {
	c := &restoration.Coat{Number: int(p.whole("coat.number")), Material: p.whole("coat.material"), WetUM: p.um("coat.wet_um")}
	if ml := p.number("coat.sheet_ml"); ml != nil {
		c.SheetML = *ml
	}
	if percent := p.number("coat.thinned"); percent != nil {
		c.Thinned = *percent / 100
	}
	for _, id := range p.form["coat.lots"] {
		lot, err := strconv.ParseInt(id, 10, 64)
		if err != nil {
			p.fault("", "This page is out of date. Open the piece again.")
			continue
		}
		c.Lots = append(c.Lots, restoration.LotUse{Lot: lot})
	}
	air := restoration.AirWords{AirC: p.temp("coat.air.air_c"), SurfaceC: p.temp("coat.air.surface_c"), Humidity: p.number("coat.air.humidity")}
	if air != (restoration.AirWords{}) {
		c.Air = &air
	}
	return c
}

func (p *formParser) reading() *restoration.Reading {
	r := &restoration.Reading{Kind: restoration.ReadingKind(p.text("reading.kind")), Spot: p.text("reading.spot"),
		Baseline: p.text("reading.baseline") != "", UnderClear: p.text("reading.under_clear") != ""}
	if own := p.text("spot_own"); own != "" {
		r.Spot = own
	}
	switch r.Kind {
	case restoration.ReadFilm:
		p.readings(r)
	case restoration.ReadGloss:
		gu := p.needs("reading.gloss.gu", "Give the gloss, such as 85.")
		r.Gloss = &colour.Gloss{GU: gu, Angle: int(p.whole("reading.gloss.angle"))}
	case restoration.ReadColour:
		r.Lab = &colour.Lab{L: p.needs("reading.lab.l", "Give L*, from 0 to 100."),
			A: p.needs("reading.lab.a", "Give a*, such as 8.4."), B: p.needs("reading.lab.b", "Give b*, such as 23.1.")}
	}
	return r
}

// readings takes the single readings of a gauge; fields left empty don't count.
func (p *formParser) readings(r *restoration.Reading) {
	for _, text := range p.form["reading.film_um"] {
		if v := p.parse("reading.film_um", clean(text)); v != nil {
			r.FilmUM = append(r.FilmUM, p.inUM(*v))
		}
	}
	if len(r.FilmUM) == 0 && len(p.faults) == 0 {
		p.fault("reading.film_um", "Type what the gauge shows, three times close together.")
	}
}

// whole reads a whole number; what is none is a fault, nothing is 0.
func (p *formParser) whole(field string) int64 {
	text := p.text(field)
	if text == "" {
		return 0
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n > math.MaxInt32 || n < math.MinInt32 {
		p.fault(field, "Give a whole number, such as 2.")
		return 0
	}
	return n
}

// number reads a figure with a decimal point or comma; nil where nothing was typed.
func (p *formParser) number(field string) *float64 { return p.parse(field, p.text(field)) }

func (p *formParser) needs(field, says string) float64 {
	faults := len(p.faults)
	v := p.number(field)
	if v == nil {
		if len(p.faults) == faults {
			p.fault(field, says)
		}
		return 0
	}
	return *v
}

// parse takes point or comma for the decimal sign, but not both: 1.234,5 may be meant
// in two ways.
func (p *formParser) parse(field, text string) *float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return nil
	}
	v, err := strconv.ParseFloat(strings.NewReplacer(",", ".", "−", "-").Replace(text), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.Trim(text, "+-−0123456789.,") != "" {
		p.fault(field, fmt.Sprintf("“%.20s” can't be read. Give a number such as 21.5.", text))
		return nil
	}
	return &v
}

// um reads a film in the shop's unit.
func (p *formParser) um(field string) *float64 {
	v := p.number(field)
	if v != nil {
		*v = p.inUM(*v)
	}
	return v
}

func (p *formParser) inUM(v float64) float64 {
	if p.us {
		return coating.UMFromMil(v)
	}
	return v
}

// temp reads a temperature in the shop's unit.
func (p *formParser) temp(field string) *float64 {
	v := p.number(field)
	if v != nil && p.us {
		*v = coating.DegreesC(*v)
	}
	return v
}
