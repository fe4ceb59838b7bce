package bench

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// checkLine is one check of a stage on the sheet that saves the step as done.
type checkLine struct {
	Key, Text string
	Fails     bool   // it is marked: does not hold
	Doubt     string // what speaks against it; "" nothing
}

func (c checkLine) id() string { return "fails-" + c.Key }

// spoken is the check for the ear: ticked it does not hold.
func (c checkLine) spoken() string {
	if c.Doubt != "" {
		return "Does not hold, " + c.Doubt + ": " + c.Text
	}
	return "Does not hold: " + c.Text
}

// checks are what one touch on Save states, the scuffing last.
func checks(in pieceInput, stage restoration.Stage) []checkLine {
	var list []checkLine
	for _, c := range stage.Checks {
		list = append(list, checkLine{Key: c.Key, Text: c.Text})
	}
	if late := in.Piece.Sum.LateFrom; !late.IsZero() && in.Now.After(late) {
		text := "Scuffed: the recoat window shut "
		if in.Piece.Sum.Look.Bare() {
			text = "Cleaned again: bare too long since "
		}
		text += ui.Clock(late, in.Now, in.Loc)
		if in.Piece.Sum.SentBack {
			text = "Scuffed and cleaned since it was sent back"
		}
		list = append(list, checkLine{Key: restoration.CheckScuffed, Text: text})
	}
	return list
}

// saveWord is what one touch on Save states of so many checks.
func saveWord(checks int) string {
	switch checks {
	case 0:
		return "Save"
	case 1:
		return "Check holds: save"
	case 2:
		return "Both checks hold: save"
	}
	return "All " + strconv.Itoa(checks) + " checks hold: save"
}

// marked marks the checks that were said not to hold.
func marked(list []checkLine, form url.Values) []checkLine {
	for i := range list {
		list[i].Fails = slices.Contains(form["fails"], list[i].Key)
	}
	return list
}

// holding are the checks that a form states, without those marked as not holding.
func holding(form url.Values) []string {
	var list []string
	for _, c := range form["checks"] {
		if !slices.Contains(form["fails"], c) {
			list = append(list, clean(c))
		}
	}
	return list
}

// notHolding begins a note about the checks that were marked; "" when none was.
func notHolding(list []checkLine) string {
	var texts []string
	for _, c := range list {
		if c.Fails {
			texts = append(texts, c.Text)
		}
	}
	if len(texts) == 0 {
		return ""
	}
	return "Does not hold: " + strings.Join(texts, "; ") + ". "
}
