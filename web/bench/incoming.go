package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"scumble/internal/restoration"
)

// Limits of what a tablet may send at once.
const (
	MaxEvents = 500
	MaxBody   = 2 << 20 // bytes
)

// Incoming is one entry as a tablet writes it. Who entered it and on which tablet
// is not part of it: that comes from the session.
type Incoming struct {
	ID      restoration.ID
	Kind    restoration.Kind
	StepID  restoration.ID // zero when the entry is about the piece
	PieceID restoration.ID // may be zero when the step is named
	At      time.Time      // when it happened, by the tablet's clock
	restoration.Payload
}

// Event is the entry as the ledger takes it, under the name of who entered it.
func (in Incoming) Event(a restoration.Actor) restoration.Event {
	return restoration.Event{
		ID: in.ID, Kind: in.Kind, PieceID: in.PieceID, StepID: in.StepID,
		PersonID: a.PersonID, DeviceID: a.DeviceID, At: in.At, Payload: in.Payload,
	}
}

// wireEvent is the JSON form of [Incoming]. Fields that it doesn't know are ignored,
// so that a newer tablet can talk to an older server.
type wireEvent struct {
	ID        string   `json:"id"`
	Kind      string   `json:"kind"`
	Step      string   `json:"step"`
	Piece     string   `json:"piece"`
	At        string   `json:"at"`
	Clock     string   `json:"clock"` // what the tablet's own clock showed
	Hours     *float64 `json:"hours"`
	StillToGo *float64 `json:"still_to_go"`
	Stage     string   `json:"stage"`
	Defect    string   `json:"defect"`
	Reason    string   `json:"reason"`
	Checks    []string `json:"checks"`
	Note      string   `json:"note"`
	Place     string   `json:"place"`
	Photo     string   `json:"photo"`
	Batch     string   `json:"batch"`
	Ref       string   `json:"ref"`

	Coat    *restoration.Coat    `json:"coat"`
	Cut     *restoration.CutPass `json:"cut"`
	Reading *restoration.Reading `json:"reading"`
}

// ParseEvents reads the JSON array that a tablet sends, at most [MaxEvents] long. An
// error is a [restoration.Problem] that names the entry at fault, counted from 0;
// then none of them is to be applied. What is well formed but can't be right, as hours below
// nought, passes: the rules refuse it and the ledger keeps it.
func ParseEvents(body []byte) ([]Incoming, error) {
	if !bytes.HasPrefix(bytes.TrimLeft(body, " \t\r\n"), []byte("[")) {
		return nil, invalid("Send a JSON array of entries.")
	}
	var raw []json.RawMessage
	if err := json.Unmarshal(body, &raw); err != nil {
		return nil, invalid("This is not JSON: %s.", plain(err))
	}
	if len(raw) > MaxEvents {
		return nil, invalid("Send at most %d entries at once, not %d.", MaxEvents, len(raw))
	}
	events := make([]Incoming, len(raw))
	for i, one := range raw {
		in, err := parseEvent(one)
		if err != nil {
			return nil, invalid("Entry %d: %s.", i, err)
		}
		events[i] = in
	}
	return events, nil
}

func invalid(format string, args ...any) error {
	return restoration.Problemf(restoration.TroubleInvalid, "", format, args...)
}

func parseEvent(raw []byte) (Incoming, error) {
	if !bytes.HasPrefix(raw, []byte("{")) {
		return Incoming{}, errors.New("each entry must be a JSON object")
	}
	var w wireEvent
	if err := json.Unmarshal(raw, &w); err != nil {
		return Incoming{}, errors.New(plain(err))
	}
	in := Incoming{Payload: restoration.Payload{
		Hours: minutes(w.Hours), StillToGo: minutes(w.StillToGo),
		Stage: clean(w.Stage), Defect: clean(w.Defect), Reason: clean(w.Reason),
		Note: clean(w.Note), Place: clean(w.Place),
	}}
	if restoration.Kind(w.Kind) == restoration.KindPhoto {
		in.Photo = clean(w.Photo) // of a picture that was sent before
	}
	for _, c := range w.Checks {
		in.Checks = append(in.Checks, clean(c))
	}
	if err := in.name(w); err != nil {
		return in, err
	}
	return in, in.film(w)
}

// name fills in what the entry is and what it is about.
func (in *Incoming) name(w wireEvent) error {
	var err error
	if in.ID, err = parseID("id", w.ID, true); err != nil {
		return err
	}
	known := false
	if in.Kind, known = restoration.ParseBenchKind(w.Kind); !known {
		return fmt.Errorf("kind %.40q is not known here; write one of: %s", w.Kind, kinds())
	}
	if in.StepID, err = parseID("step", w.Step, in.Kind.AboutStep()); err != nil {
		return err
	}
	if in.PieceID, err = parseID("piece", w.Piece, in.StepID.IsZero()); err != nil {
		return err
	}
	if in.At, err = time.Parse(time.RFC3339, w.At); err != nil {
		return fmt.Errorf("at must be a time such as 2026-03-27T14:30:00Z (RFC 3339), got %.40q", w.At)
	}
	if w.Clock == "" {
		return nil
	}
	if in.Clock, err = time.Parse(time.RFC3339, w.Clock); err != nil {
		return fmt.Errorf("clock must be a time such as 2026-03-27T14:30:00Z (RFC 3339), got %.40q", w.Clock)
	}
	return nil
}

// film takes over what a kind of the film says; of another kind it is ignored. What the
// shop knew at the time is none of the tablet's business: the store fills it in.
func (in *Incoming) film(w wireEvent) (err error) {
	switch in.Kind {
	case restoration.KindCoat:
		in.Coat = w.Coat
	case restoration.KindCutPass:
		if in.Cut = w.Cut; w.Cut != nil {
			in.Cut.Grade = clean(w.Cut.Grade)
		}
	case restoration.KindReading:
		if in.Reading = w.Reading; w.Reading != nil {
			in.Reading.Spot, in.Reading.Kind = clean(w.Reading.Spot), restoration.ReadingKind(clean(string(w.Reading.Kind)))
		}
	case restoration.KindStrike:
		if in.Ref, err = parseID("ref", w.Ref, true); err != nil {
			return err
		}
	}
	in.Batch, err = parseID("batch", w.Batch, false)
	return err
}

func parseID(field, s string, needed bool) (restoration.ID, error) {
	if s == "" && !needed {
		return restoration.ID{}, nil
	}
	id, err := restoration.ParseID(s)
	if err != nil {
		return id, fmt.Errorf("%s %w", field, err)
	}
	if id.IsZero() {
		return id, fmt.Errorf("%s must not be the zero UUID", field)
	}
	return id, nil
}

func kinds() string {
	var words []string
	for _, k := range restoration.BenchKinds() {
		words = append(words, string(k))
	}
	return strings.Join(words, ", ")
}

// farMinutes is beyond every limit of the rules and well inside what can be kept.
const farMinutes = 1e9

// minutes rounds hours to the minute. What is out of all bounds stays so, but small
// enough to be kept with its refusal; what isn't nought doesn't become it.
func minutes(hours *float64) *restoration.Minutes {
	if hours == nil {
		return nil
	}
	m := math.Round(*hours * 60)
	if m == 0 {
		m = math.Copysign(math.Ceil(math.Abs(*hours)), *hours)
	}
	whole := restoration.Minutes(max(-farMinutes, min(m, farMinutes)))
	return &whole
}

// clean takes out the one sign that the database can't keep.
func clean(s string) string { return strings.ReplaceAll(s, "\x00", "\uFFFD") }

// plain says what is wrong with JSON without naming anything of the program.
func plain(err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &kind) && kind.Field != "":
		return fmt.Sprintf("%s can't be a %s", kind.Field, kind.Value)
	case errors.As(err, &kind):
		return fmt.Sprintf("a %s stands where it can't", kind.Value)
	case errors.As(err, &syntax):
		return fmt.Sprintf("%s, at byte %d", syntax.Error(), syntax.Offset)
	}
	return err.Error()
}
