package store

import (
	"context"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// timersBack is how far back a person's clocks are looked for that stand still. The one
// started last is found however old it is.
const timersBack = 14 * 24 * time.Hour

// Kinds as literals: only these let the database use the indexes that are made for them.
var (
	clockKinds = kindList(restoration.StepClockKinds())
	stopKinds  = kindList(restoration.StopKinds())
	hourKinds  = kindList(restoration.LoggingKinds())
)

func kindList(kinds []restoration.Kind) string {
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = "'" + string(k) + "'"
	}
	return "(" + strings.Join(words, ", ") + ")"
}

// Timers gives a person's clocks that run, or that hold something not logged yet and were
// started in the last fortnight; see [restoration.Timers].
func (s *Store) Timers(ctx context.Context, personID int64) (_ []restoration.Timer, err error) {
	defer wrap(&err, "find the timers of person %d", personID)
	entries, err := askEntries(ctx, s.pool, `
		WITH began AS (
			SELECT e.step_id, e.car_id, e.at FROM shop_events e JOIN finish_steps s ON s.id = e.step_id
			WHERE e.kind = 'start' AND e.person_id = @person AND e.outcome <> 'refused' AND e.at >= least(@since::timestamptz,
				(SELECT max(at) FROM shop_events WHERE kind = 'start' AND person_id = @person AND outcome <> 'refused')))`,
		`SELECT id FROM shop_events WHERE step_id IN (SELECT step_id FROM began) AND kind IN `+clockKinds+`
		UNION SELECT x.id FROM began JOIN shop_events x ON x.car_id = began.car_id AND x.at >= began.at AND x.kind IN `+stopKinds,
		pgx.StrictNamedArgs{"person": personID, "since": s.instant().Add(-timersBack)})
	return restoration.Timers(entries, personID), err
}

// askEntries lists the entries that were not refused of those whose ids are found; with
// goes before.
func askEntries(ctx context.Context, from asker, with, ids string, args ...any) ([]restoration.Entry, error) {
	rows, err := from.Query(ctx, with+entrySelect+`WHERE e.outcome <> 'refused' AND e.id IN (`+ids+`)`, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toEntry)
}

// TimeSheet lists the entries whose hours count from an hour until before another, in the
// order of time, with what they count for by now; of one person, or of all for 0. Hours
// may be said up to [restoration.SheetBack] after the work.
func (s *Store) TimeSheet(ctx context.Context, from, to time.Time, personID int64) (_ []restoration.SheetRow, err error) {
	defer wrap(&err, "list the time sheet from %v to %v", from, to)
	entries, err := askEntries(ctx, s.pool, `
		WITH hours AS MATERIALIZED (
			SELECT step_id, person_id FROM shop_events
			WHERE kind IN `+hourKinds+` AND payload ? 'hours_min' AND at >= @from AND at < @until AND outcome <> 'refused'
				AND (@person = 0 OR person_id = @person)),
		began AS MATERIALIZED (
			SELECT id, car_id FROM shop_events
			WHERE kind = 'start' AND person_id IN (SELECT person_id FROM hours) AND at >= @lead AND at < @until)`,
		`SELECT id FROM shop_events WHERE step_id IN (SELECT step_id FROM hours) AND kind IN `+clockKinds+`
		UNION SELECT id FROM began
		UNION SELECT id FROM shop_events WHERE car_id IN (SELECT car_id FROM began) AND at >= @lead AND at < @until AND kind IN `+stopKinds,
		pgx.StrictNamedArgs{"from": from, "until": to.Add(restoration.SheetBack), "person": personID, "lead": from.Add(-restoration.SheetBack)})
	return restoration.SheetFilter{From: from, To: to, PersonID: personID}.Choose(restoration.Sheet(entries)), err
}

// BothTicked lists the ticks since an hour whose hours count beside those of somebody else
// who ticked the same step before; see [restoration.BothTicked]. Where hours of the step
// were corrected since, somebody has looked.
func (s *Store) BothTicked(ctx context.Context, since time.Time) (_ []restoration.BothTick, err error) {
	defer wrap(&err, "list what two people ticked since %v", since)
	entries, err := askEntries(ctx, s.pool, `
		WITH late AS MATERIALIZED (
			SELECT e.id, e.step_id, e.seq FROM shop_events e
			WHERE e.kind = 'tick' AND e.outcome = 'already' AND e.payload ? 'hours_min' AND e.at >= @since
				AND NOT EXISTS (SELECT FROM shop_events x WHERE x.kind = 'correct time' AND x.outcome = 'applied' AND x.step_id = e.step_id AND x.seq > e.seq))`,
		`SELECT id FROM late
		UNION SELECT x.id FROM late JOIN shop_events x ON x.step_id = late.step_id AND x.kind = 'tick' AND x.seq < late.seq`,
		pgx.StrictNamedArgs{"since": since})
	return restoration.BothTicked(entries), err
}

// CorrectTime puts other hours in the place of those that an entry logged, as an event that
// keeps what they were. The same c.ID twice corrects once. NotFound when no entry of that
// id logged hours; Conflict when it counts for something else than c.Was by now, or the
// rules refuse.
func (s *Store) CorrectTime(ctx context.Context, by restoration.Actor, c restoration.TimeCorrection) (err error) {
	defer wrap(&err, "correct the hours of entry %v", c.Ref)
	return s.change(ctx, func(t tx) error {
		var piece restoration.ID
		err := t.QueryRow(ctx, `SELECT component_id FROM shop_events WHERE id = $1 AND component_id IS NOT NULL`, c.Ref).Scan(&piece)
		if err != nil {
			return notFound(err, "There is no such entry of hours. Look at the time sheet again.")
		}
		if _, _, err := claimPiece(ctx, t, piece); err != nil { // nobody else corrects it meanwhile
			return err
		}
		entries, err := askEntries(ctx, t, ``, `SELECT id FROM shop_events WHERE kind IN `+clockKinds+`
			AND step_id = (SELECT step_id FROM shop_events WHERE id = @ref)`, pgx.StrictNamedArgs{"ref": c.Ref})
		if err != nil {
			return err
		}
		e, done, err := c.Event(entries)
		if err != nil || done {
			return err
		}
		e.PersonID, e.DeviceID, e.At, e.Arrived = by.PersonID, by.DeviceID, t.now, t.now
		return s.mustApply(ctx, t, e)
	})
}
