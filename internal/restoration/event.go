package restoration

import (
	"slices"
	"strings"
	"time"
)

// Kind is what an event says.
type Kind string

// Kinds that a person enters about a piece.
const (
	KindTick      Kind = "tick"
	KindUntick    Kind = "untick"
	KindStart     Kind = "start" // take in hand
	KindSkip      Kind = "skip"
	KindSendBack  Kind = "send back"
	KindHold      Kind = "hold"
	KindRelease   Kind = "release"
	KindPause     Kind = "pause" // of the person's own timer
	KindLogTime   Kind = "log time"
	KindStillToGo Kind = "still to go"
	KindNote      Kind = "note"
	KindMove      Kind = "move"
	KindPhoto     Kind = "photo" // changes no step
)

// Kinds of the film: what was put on a piece, taken off it and measured.
const (
	KindCoat    Kind = "coat"
	KindCutPass Kind = "cut pass"
	KindReading Kind = "reading"
	KindStrike  Kind = "strike" // one of these (Ref) was entered wrongly and no longer counts
)

// Kinds that the office enters: what a piece is planned to take, and the car's own.
const (
	KindOpen       Kind = "open"   // a piece joins the list, with its steps
	KindReplan     Kind = "replan" // its planned hours or its route change
	KindRemove     Kind = "remove"
	KindRestore    Kind = "restore"
	KindCarStart   Kind = "car start"
	KindCarHold    Kind = "car hold"
	KindCarRelease Kind = "car release"
	KindCarDeliver Kind = "car deliver"
	KindCarReopen  Kind = "car reopen"
	KindSettle     Kind = "settle"       // the owner has dealt with a refused entry (Ref)
	KindCorrect    Kind = "correct time" // other hours for those that an entry (Ref) logged
)

// BenchKinds lists what a tablet may send.
func BenchKinds() []Kind {
	return []Kind{KindTick, KindUntick, KindStart, KindPause, KindSkip, KindSendBack, KindHold, KindRelease,
		KindLogTime, KindStillToGo, KindNote, KindMove, KindPhoto, KindCoat, KindCutPass, KindReading, KindStrike}
}

// ParseBenchKind reads a kind as a tablet may write it: "send back", "send_back"
// and "send-back" are the same. False when no tablet may send it.
func ParseBenchKind(s string) (Kind, bool) {
	k := Kind(strings.NewReplacer("_", " ", "-", " ").Replace(strings.ToLower(strings.TrimSpace(s))))
	return k, slices.Contains(BenchKinds(), k)
}

// AboutCar tells whether the kind concerns the whole car.
func (k Kind) AboutCar() bool { return strings.HasPrefix(string(k), "car ") }

// AboutStep tells whether the event must name a step.
func (k Kind) AboutStep() bool {
	switch k {
	case KindTick, KindUntick, KindStart, KindPause, KindSkip, KindLogTime, KindStillToGo, KindCoat, KindCutPass, KindCorrect:
		return true
	}
	return false
}

// Event is one entry of the ledger. ID is made by whoever enters it (UUIDv7).
type Event struct {
	ID       ID
	Kind     Kind
	CarID    int64
	PieceID  ID // zero for the car's own kinds
	StepID   ID // zero unless the kind is about a step
	PersonID int64
	DeviceID int64     // 0: the office
	At       time.Time // when it happened
	Arrived  time.Time // when the server had it

	Payload
}

// Payload is what an event says beyond its kind; it is kept as one JSON document.
type Payload struct {
	Hours     *Minutes `json:"hours_min,omitempty"` // logged; of a send-back, the work it costs
	Was       *Minutes `json:"was_min,omitempty"`   // correct time: what the entry counted for before
	StillToGo *Minutes `json:"still_to_go_min,omitempty"`
	Stage     string   `json:"stage,omitempty"` // send back: to this one; photo: what it shows
	Defect    string   `json:"defect,omitempty"`
	Reason    string   `json:"reason,omitempty"` // of an opening: why the piece starts on hold
	Checks    []string `json:"checks,omitempty"` // keys confirmed
	Note      string   `json:"note,omitempty"`
	Photo     string   `json:"photo,omitempty"`    // SHA-256 of the picture, 64 hexadecimal digits
	Place     string   `json:"place,omitempty"`    // open, move: where it lies
	RouteID   int64    `json:"route_id,omitempty"` // open, replan
	Size      Size     `json:"size,omitempty"`     // open, replan: by which the piece was planned
	Plan      []Plan   `json:"plan,omitempty"`     // open, replan
	Ref       ID       `json:"ref,omitzero"`       // settle: the refused event; strike: the entry of the film; correct time: the entry of hours

	Coat    *Coat    `json:"coat,omitempty"`
	Cut     *CutPass `json:"cut,omitempty"`
	Reading *Reading `json:"reading,omitempty"`
	Batch   ID       `json:"batch,omitzero"`  // entries that were made at once share it
	Facts   *Facts   `json:"facts,omitempty"` // what the shop knew then; the server fills it in

	Clock time.Time `json:"clock,omitzero"` // what the tablet's own clock showed; Event.At is the shop's hour
}

// Plan is the planned labour of one stage of one piece.
type Plan struct {
	Stage     string   `json:"stage"`
	Hours     Estimate `json:"hours"`
	Overtyped bool     `json:"overtyped,omitempty"`
}

// Result is what became of an event.
type Result string

// The results. Already: somebody had done it before; what else the entry says (its
// hours) is kept.
const (
	Applied Result = "applied"
	Already Result = "already"
	Refused Result = "refused"
)

// Outcome is the answer to an event. Reason is a sentence for a person when the
// event was refused or had happened already. AllowedFrom is the hour from which it
// would be allowed, where waiting helps.
type Outcome struct {
	Result      Result
	Reason      string
	AllowedFrom time.Time
}

func applied() Outcome              { return Outcome{Result: Applied} }
func refused(reason string) Outcome { return Outcome{Result: Refused, Reason: reason} }
func already(reason string) Outcome { return Outcome{Result: Already, Reason: reason} }
