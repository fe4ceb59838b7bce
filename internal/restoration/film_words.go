package restoration

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"scumble/internal/coating"
)

func filmAct(e Event, stage string, units Units) string {
	switch e.Kind {
	case KindCoat:
		if e.Coat == nil {
			return "A coat on " + stage
		}
		return fmt.Sprintf("Coat %d on %s%s", e.Coat.Number, stage, ofMaterial(e.Facts))
	case KindCutPass:
		if e.Cut == nil {
			return "Sanded " + stage
		}
		return "Sanded with " + e.Cut.Grade + wetWord(e.Cut.Wet)
	case KindReading:
		if e.Reading == nil {
			return "A measurement"
		}
		return e.Reading.words(units)
	}
	return "Struck out an entry of the film"
}

func wetWord(wet bool) string {
	if wet {
		return ", wet"
	}
	return ""
}

func ofMaterial(f *Facts) string {
	if f == nil || f.Material == "" {
		return ""
	}
	return ": " + f.Material
}

func (r Reading) words(units Units) string {
	at := ""
	if r.Spot != "" {
		at = " at " + r.Spot
	}
	switch {
	case r.Kind == ReadGloss && r.Gloss != nil:
		return "Gloss" + at + ": " + r.Gloss.String()
	case r.Kind == ReadColour && r.Lab != nil:
		return fmt.Sprintf("Colour%s: L* %.1f, a* %.1f, b* %.1f", at, r.Lab.L, r.Lab.A, r.Lab.B)
	case r.Baseline:
		return fmt.Sprintf("Film before the clear%s: %s", at, ReadingsWords(r.FilmUM, units))
	}
	return fmt.Sprintf("Film%s: %s", at, ReadingsWords(r.FilmUM, units))
}

// ReadingsWords lists single readings as a gauge shows them: "312, 316 µm", "12.28 mil".
func ReadingsWords(um []float64, units Units) string {
	to, unit := func(v float64) float64 { return v }, " µm"
	if units == US {
		to, unit = coating.MilFromUM, " mil"
	}
	var list []string
	for _, v := range um {
		list = append(list, fmt.Sprintf("%.4g", to(v)))
	}
	return strings.Join(list, ", ") + unit
}

// told is what the facts of an entry add to its words, each to stand between semicolons.
func (f *Facts) told(units Units) []string {
	var out []string
	if f.Film != nil && !f.Film.IsZero() {
		out = append(out, FilmSpan(*f.Film, units))
	}
	if f.Air != nil {
		out = append(out, "air by the sensor: "+f.Air.words(units))
	}
	if f.Sum != "" {
		out = append(out, strings.TrimSuffix(f.Sum, "."))
	}
	for _, n := range append(append([]string{}, f.Needs...), f.Warnings...) {
		out = append(out, "warned: "+strings.TrimSuffix(n, "."))
	}
	return out
}

// words says what is known of the air: "20 °C, surface 18.5 °C, 55 % RH".
func (a AirWords) words(units Units) string {
	var list []string
	if a.AirC != nil {
		list = append(list, TempWords(*a.AirC, units))
	}
	if a.SurfaceC != nil {
		list = append(list, "surface "+TempWords(*a.SurfaceC, units))
	}
	if a.Humidity != nil {
		list = append(list, fmt.Sprintf("%.0f %% RH", *a.Humidity))
	}
	return strings.Join(list, ", ")
}

// capital begins a sentence.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
