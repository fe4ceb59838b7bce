package bench

import (
	"cmp"
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// formKinds maps the last part of a form's address to what it enters.
var formKinds = map[string]restoration.Kind{
	"tick": restoration.KindTick, "start": restoration.KindStart, "untick": restoration.KindUntick,
	"pause": restoration.KindPause, "skip": restoration.KindSkip, "back": restoration.KindSendBack, "hold": restoration.KindHold,
	"release": restoration.KindRelease, "time": restoration.KindLogTime, "still": restoration.KindStillToGo,
	"note": restoration.KindNote, "move": restoration.KindMove,
	"coat": restoration.KindCoat, "cut": restoration.KindCutPass, "measure": restoration.KindReading, "strike": restoration.KindStrike,
}

// newID makes the id of an entry when its form is drawn, so that a double touch
// sends one entry twice and not two.
func newID() string { return uuid.Must(uuid.NewV7()).String() }

// parseForm reads a form of a piece's page as an entry. The faults say at which field
// something can't be right; with one, the entry is not to be sent. The field "own"
// is what a person wrote in place of a reason or place that could be picked.
func parseForm(act string, piece restoration.ID, form url.Values, at time.Time) (Incoming, []ui.FieldError) {
	p := formParser{form: form, us: form.Get("units") == string(restoration.US)}
	in := Incoming{Kind: formKinds[act], PieceID: piece, At: at, ID: p.id("id")}
	if in.Kind.AboutStep() {
		in.StepID = p.id("step")
	}
	in.Hours = p.hours("hours", restoration.MaxEntry, act == "time")
	in.StillToGo = p.hours("still_to_go", restoration.MaxStillToGo, act == "still")
	in.Stage, in.Defect, in.Note = p.text("stage"), p.text("defect"), p.text("note")
	if act == "move" {
		in.Place = cmp.Or(p.text("own"), p.text("place"))
	} else {
		in.Reason = cmp.Or(p.text("own"), p.text("reason"))
	}
	in.Checks = holding(form)
	p.film(&in)
	p.needed(act, in)
	return in, p.faults
}

type formParser struct {
	form   url.Values
	us     bool // films and temperatures are typed in mil and °F
	faults []ui.FieldError
}

func (p *formParser) fault(field, text string) {
	p.faults = append(p.faults, ui.FieldError{Name: field, Text: text})
}

func (p *formParser) text(field string) string { return strings.TrimSpace(clean(p.form.Get(field))) }

func (p *formParser) id(field string) restoration.ID {
	id, err := parseID(field, p.form.Get(field), true)
	if err != nil {
		p.fault("", "This page is out of date. Open the piece again.")
	}
	return id
}

// hours reads hours with a decimal point or comma. Nought and nothing are the same:
// no time is logged.
func (p *formParser) hours(field string, most restoration.Minutes, required bool) *restoration.Minutes {
	typed := strings.ReplaceAll(p.text(field), ",", ".")
	if typed == "" && !required {
		return nil
	}
	says := fmt.Sprintf("Give hours from 0.25 to %s, such as 1.25.", strconv.FormatFloat(most.Hours(), 'f', -1, 64))
	h, err := strconv.ParseFloat(typed, 64)
	if err != nil {
		p.fault(field, says)
		return nil
	}
	m, err := restoration.FromHours(h)
	switch {
	case err != nil || m > most || m == 0 && (required || h != 0):
		p.fault(field, says)
		return nil
	case m == 0:
		return nil
	}
	return &m
}

// needed says what an act can't do without.
func (p *formParser) needed(act string, in Incoming) {
	switch {
	case (act == "hold" || act == "skip" || act == "strike") && in.Reason == "":
		p.fault("own", "Choose a reason, or write one.")
	case act == "tick" && len(p.form["fails"]) > 0:
		p.fault("", "Not saved: a check does not hold. Say what is still to go, send the piece back or write a note.")
	case act == "note" && in.Note == "":
		p.fault("note", "Write the note first.")
	case act == "move" && in.Place == "":
		p.fault("own", "Choose a place, or write one.")
	case act == "back" && in.Defect == "":
		p.fault("defect", "Choose what is wrong.")
	case act == "back" && in.Defect == restoration.DefectOther && in.Reason == "":
		p.fault("own", "Write in a few words what is wrong.")
	}
	p.fits("note", in.Note, restoration.MaxNote)
	p.fits("own", in.Reason, restoration.MaxReason)
	p.fits("own", in.Place, restoration.MaxPlace)
}

func (p *formParser) fits(field, text string, most int) {
	if n := utf8.RuneCountInString(text); n > most {
		p.fault(field, fmt.Sprintf("That is %d characters; at most %d fit. Shorten it.", n, most))
	}
}
