package office

import (
	"fmt"
	"slices"

	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// matchLine is one finding about colour or gloss. Off: it is beyond its tolerance.
type matchLine struct {
	Text string
	Off  bool
}

// pieceMatch tells how a piece's colour and gloss stand to its scheme and its set.
func pieceMatch(p restoration.Piece, r restoration.Route, sc restoration.FilmScene) []matchLine {
	var lines []matchLine
	samples := slices.Clone(sc.Colours)
	if read := restoration.LatestReading(p, r, sc.Deeds, restoration.ReadColour); read != nil {
		samples = append(samples, colour.Sample{Key: p.ID.String(), Name: p.Title(), Lab: *read.Lab})
	}
	if len(samples) > 0 {
		lines = append(lines, matchLines(setWord(p.Set), samples, sc.Scheme.Ground, p.ID.String(), sc.Film)...)
	}
	if read := restoration.LatestReading(p, r, sc.Deeds, restoration.ReadGloss); read != nil {
		lines = append(lines, glossLine(*read.Gloss, sc.Scheme.Gloss, sc.Film.GlossGU))
	}
	return lines
}

// setWord is what a person calls a set of pieces; "" is none.
func setWord(set string) string {
	if set == "" {
		return "This piece"
	}
	return "Set " + set
}

// matchLines says which two pieces differ most, which stands out, and how the one with
// the key lies to the scheme's ground, and others that lie too far; target may be nil.
func matchLines(set string, samples []colour.Sample, target *colour.Lab, key string, film restoration.FilmSettings) []matchLine {
	m := colour.Match(samples, target, colour.Tolerance{Set: film.SetDeltaE, Scheme: film.OwnDeltaE})
	var lines []matchLine
	if w := m.Worst; w != nil {
		text := fmt.Sprintf("%s: %s and %s differ most, ΔE %.1f", set, w.A.Name, w.B.Name, w.DeltaE)
		lines = append(lines, matchLine{text + toleranceWords(m.InSet, film.SetDeltaE), !m.InSet})
	}
	if odd := m.Odd; odd != nil {
		lines = append(lines, matchLine{fmt.Sprintf("%s stands out: without it the rest differ by ΔE %.1f at most.", odd.Name, odd.WorstOfRest), true})
	}
	for _, d := range m.ToTarget {
		if d.Within && d.Key != key {
			continue
		}
		lines = append(lines, matchLine{fmt.Sprintf("%s lies ΔE %.1f from the scheme's ground", d.Name, d.DeltaE) + toleranceWords(d.Within, film.OwnDeltaE), !d.Within})
	}
	return lines
}

func toleranceWords(within bool, most float64) string {
	if within {
		return fmt.Sprintf("; %.1f is allowed.", most)
	}
	return fmt.Sprintf(", over the %.1f that is allowed.", most)
}

// glossLine compares a reading with the gloss that was agreed; nil is none.
func glossLine(have colour.Gloss, want *colour.Gloss, tolerance float64) matchLine {
	if want == nil {
		return matchLine{Text: "Gloss " + have.String() + "; none is agreed."}
	}
	within, err := colour.GlossWithin(*want, have, tolerance)
	switch {
	case err != nil:
		return matchLine{upperFirst(err.Error()) + ".", true}
	case within:
		return matchLine{Text: fmt.Sprintf("Gloss %s, wanted %s ± %g.", have, want, tolerance)}
	}
	return matchLine{fmt.Sprintf("Gloss %s is outside of the wanted %s ± %g.", have, want, tolerance), true}
}
