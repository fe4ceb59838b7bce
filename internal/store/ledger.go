package store

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// eventRow is a row of shop_events.
type eventRow struct {
	ID          restoration.ID
	Seq         int64
	Kind        string
	CarID       *int64
	ComponentID restoration.ID
	StepID      restoration.ID
	PersonID    *int64
	DeviceID    *int64
	At          time.Time
	Arrived     time.Time
	Payload     restoration.Payload
	Outcome     string
	Reason      string
	AllowedFrom *time.Time
}

const eventColumns = `e.id, e.seq, e.kind, e.car_id, e.component_id, e.step_id, e.person_id, e.device_id,
	e.at, e.arrived, e.payload, e.outcome, e.reason, e.allowed_from`

func (r eventRow) event() restoration.Event {
	return restoration.Event{
		ID: r.ID, Kind: restoration.Kind(r.Kind), CarID: keyOrZero(r.CarID), PieceID: r.ComponentID, StepID: r.StepID,
		PersonID: keyOrZero(r.PersonID), DeviceID: keyOrZero(r.DeviceID), At: r.At.UTC(), Arrived: r.Arrived.UTC(), Payload: r.Payload,
	}
}

func (r eventRow) outcome() restoration.Outcome {
	return restoration.Outcome{Result: restoration.Result(r.Outcome), Reason: r.Reason, AllowedFrom: orZero(r.AllowedFrom)}
}

// eventNames are the columns that an event is written to, in the order of
// eventValues; seq is given by the database.
var eventNames = []string{"id", "kind", "car_id", "component_id", "step_id", "person_id", "device_id", "at", "arrived",
	"payload", "outcome", "reason", "allowed_from"}

func eventValues(e restoration.Event, out restoration.Outcome) []any {
	return []any{e.ID, string(e.Kind), keyOrNull(e.CarID), e.PieceID, e.StepID, keyOrNull(e.PersonID), keyOrNull(e.DeviceID),
		e.At, e.Arrived, e.Payload, string(out.Result), out.Reason, orNull(out.AllowedFrom)}
}

// eventInsert adds an event and tells the readers of its change once that commits.
const eventInsert = `
	WITH entered AS (
		INSERT INTO shop_events (id, kind, car_id, component_id, step_id, person_id, device_id, at, arrived,
			payload, outcome, reason, allowed_from)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)
		RETURNING seq, car_id, component_id, kind)
	SELECT pg_notify('` + channel + `', json_build_object('seq', seq, 'car', car_id, 'piece', component_id, 'kind', kind)::text)
	FROM entered`

func queueEvent(b *pgx.Batch, e restoration.Event, out restoration.Outcome) {
	b.Queue(eventInsert, eventValues(e, out)...)
}

// officeEvent begins an event that the office enters now.
func officeEvent(t tx, by restoration.Actor, k restoration.Kind) restoration.Event {
	return restoration.Event{ID: newID(), Kind: k, PersonID: by.PersonID, DeviceID: by.DeviceID, At: t.now, Arrived: t.now}
}

// newID makes a UUIDv7. Its random part fails only where the system has no source
// of randomness at all, and then nothing works.
func newID() restoration.ID { return restoration.ID(uuid.Must(uuid.NewV7())) }

// tidy gives an event the form in which it can be kept: times to the microsecond,
// and no NUL, which Postgres has no place for.
func tidy(e restoration.Event) restoration.Event {
	e.At, e.Clock = e.At.UTC().Truncate(time.Microsecond), e.Clock.UTC().Truncate(time.Microsecond)
	e.Facts, e.Was = nil, nil // the shop knows them, not the tablet
	for _, text := range []*string{&e.Stage, &e.Defect, &e.Reason, &e.Note, &e.Place, &e.Photo, (*string)(&e.Size)} {
		*text = withoutNUL(*text)
	}
	e.Checks = slices.Clone(e.Checks)
	for i, c := range e.Checks {
		e.Checks[i] = withoutNUL(c)
	}
	if e.Cut != nil {
		cut := *e.Cut
		cut.Grade = withoutNUL(cut.Grade)
		e.Cut = &cut
	}
	if e.Reading != nil {
		r := *e.Reading
		r.Spot, r.Kind = withoutNUL(r.Spot), restoration.ReadingKind(withoutNUL(string(r.Kind)))
		e.Reading = &r
	}
	return e
}

func withoutNUL(s string) string { return strings.ReplaceAll(s, "\x00", "") }

// sameEntry tells whether sent says what was kept under its id. Who was signed in
// and what the server filled in don't count: a tablet sends its queue again whoever
// holds it by then, and a form of the office that is sent twice has the hour of each
// sending.
func sameEntry(kept eventRow, sent restoration.Event) (bool, error) {
	kept.Payload.Facts = nil
	was, err := json.Marshal(kept.Payload)
	if err != nil {
		return false, err
	}
	is, err := json.Marshal(sent.Payload)
	if err != nil {
		return false, err
	}
	differ := func(a, b restoration.ID) bool { return !a.IsZero() && !b.IsZero() && a != b }
	fromOffice := kept.DeviceID == nil
	byClock := !kept.Payload.Clock.IsZero() // its hour here is worked out anew each time it is sent
	return string(was) == string(is) && kept.Kind == string(sent.Kind) && kept.StepID == sent.StepID &&
		!differ(kept.ComponentID, sent.PieceID) && (fromOffice || byClock || kept.At.Equal(sent.At)), nil
}
