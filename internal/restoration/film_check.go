package restoration

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"scumble/internal/coating"
)

// The bounds of what can be; a reason doesn't help beyond them.
const (
	mostCoats   = 200
	mostCoatUM  = 5000      // wet, of one coat
	mostCoatML  = 1_000_000 // of one coat on one piece
	mostThinned = 5         // times the mix
	maxGrade    = 20        // signs of a grade
	mostSingle  = 1000      // readings of one spot at once
)

// inside tells whether a number is one, and within its bounds.
func inside(v, low, high float64) bool { return v >= low && v <= high }

// Fault says what can't be right in a coat, which no reason makes right, and the figure of
// the coat that it is said of: "number", "wet_um", "thinned", "air.air_c", "air.humidity",
// "air.surface_c", as an entry names them, "" for what is none of these. Both are "" where
// nothing is wrong.
func (c Coat) Fault() (figure, says string) {
	switch {
	case c.Number < 1 || c.Number > mostCoats:
		return "number", fmt.Sprintf("Say which coat it is, from 1 to %d.", mostCoats)
	case c.Material < 0:
		return "", "There is no such material. Choose one of the shop's list."
	case c.WetUM != nil && !(*c.WetUM > 0 && *c.WetUM <= mostCoatUM):
		return "wet_um", "A wet film that thick, or of nothing, can't be. Read the comb again."
	case !inside(c.Thinned, 0, mostThinned):
		return "thinned", "The thinner beyond the sheet's is a share of the mix, such as 5 %. Correct it."
	case !inside(c.ML, 0, mostCoatML), !inside(c.SheetML, 0, mostCoatML):
		return "", "That amount of paint can't be. Correct it."
	}
	for _, use := range c.Lots {
		if !inside(use.ML, 0, mostCoatML) {
			return "", "That amount out of a tin can't be. Correct it."
		}
	}
	return c.Air.fault()
}

// airFigures are the readings of the air as a coat's entry names them, by what
// [coating.SprayWindow] calls them.
var airFigures = map[string]string{"air": "air.air_c", "surface": "air.surface_c", "humidity": "air.humidity"}

// fault is [Coat.Fault] of a reading of the air; what looks mistyped is asked about.
func (a *AirWords) fault() (figure, says string) {
	if a == nil {
		return "", ""
	}
	v := coating.SprayWindow(coating.Conditions{AirC: a.AirC, RHPercent: a.Humidity, SurfaceC: a.SurfaceC}, coating.Limits{})
	for _, q := range v.Questions {
		if q.Code == coating.CannotBe {
			return airFigures[q.Of], q.Says
		}
	}
	return "", ""
}

// fault says what can't be right in a cutting pass; "" nothing.
func (c CutPass) fault() string {
	grade := strings.TrimSpace(c.Grade)
	switch n := utf8.RuneCountInString(c.Grade); {
	case grade == "" || n > maxGrade:
		return fmt.Sprintf("Say with which grade it was sanded, such as P1500, in at most %d characters.", maxGrade)
	case strings.Trim(grade, "0123456789") == "":
		if _, err := coating.GrainSizeUM(grade); err != nil {
			return err.Error()
		}
	}
	if c.Off != nil && (!c.Off.Valid() || c.Off.High > mostReadingUM) {
		return "What was taken off goes from low over likely to high, none of it beyond the scale of a gauge. Correct it."
	}
	return ""
}

// fault says what can't be right in a reading; "" nothing.
func (r Reading) fault() string {
	if utf8.RuneCountInString(r.Spot) > MaxPlace {
		return fmt.Sprintf("The name of the spot is longer than %d characters. Shorten it.", MaxPlace)
	}
	switch {
	case r.Kind == ReadFilm && len(r.FilmUM) > 0:
		return filmFault(r.FilmUM)
	case r.Kind == ReadGloss && r.Gloss != nil:
		if err := r.Gloss.Check(); err != nil {
			return err.Error()
		}
		return ""
	case r.Kind == ReadColour && r.Lab != nil:
		if err := r.Lab.Check(); err != nil {
			return err.Error()
		}
		return ""
	}
	return "Say what was measured: a film, a gloss or a colour."
}

func filmFault(um []float64) string {
	if len(um) > mostSingle {
		return fmt.Sprintf("One spot takes up to %d readings at once. Enter them in parts.", mostSingle)
	}
	for _, v := range um {
		if !inside(v, 0, 10*mostReadingUM) {
			return "A reading that thick, or below nought, can't be. Measure again."
		}
	}
	return ""
}
