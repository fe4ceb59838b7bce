package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// deed is what a person did, as the audit keeps it.
type deed struct {
	act     restoration.Act
	subject string // what it was done to, as a person reads it
	carID   int64  // 0: none
	pieceID restoration.ID
	// before and after become JSON; nil is none. No secret and no hash goes in.
	before, after any
}

// audit writes d in the transaction that does it. A deed without a person and
// without a tablet is the program's own.
func audit(ctx context.Context, t tx, by restoration.Actor, d deed) error {
	before, err := document(d.before)
	if err != nil {
		return err
	}
	after, err := document(d.after)
	if err != nil {
		return err
	}
	_, err = t.Exec(ctx, `
		INSERT INTO audit (at, person_id, device_id, act, subject, car_id, piece_id, before, after)
		VALUES (@at, @person, @device, @act, @subject, @car, @piece, @before, @after)`,
		pgx.StrictNamedArgs{"at": t.now, "person": keyOrNull(by.PersonID), "device": keyOrNull(by.DeviceID),
			"act": d.act, "subject": d.subject, "car": keyOrNull(d.carID), "piece": d.pieceID,
			"before": before, "after": after})
	if err != nil {
		return fmt.Errorf("audit %q: %w", d.act, err)
	}
	return nil
}

// document gives v as JSON; nil for nil.
func document(v any) (*string, error) {
	if v == nil {
		return nil, nil
	}
	b, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("write the audit of %T: %w", v, err)
	}
	s := string(b)
	return &s, nil
}

// Audit lists what people did that is no event of the ledger, newest first.
func (s *Store) Audit(ctx context.Context, f restoration.AuditFilter) (_ []restoration.AuditRow, err error) {
	defer wrap(&err, "list the audit %+v", f)
	limit := f.Limit
	if limit <= 0 {
		limit = 100
	}
	rows, err := s.pool.Query(ctx, `
		SELECT a.id, a.at, coalesce(p.name, ''), coalesce(d.name, ''), a.act, a.subject,
			coalesce(a.car_id, 0), coalesce(c.work_order, ''), a.piece_id, coalesce(a.before::text, ''), coalesce(a.after::text, '')
		FROM audit a LEFT JOIN people p ON p.id = a.person_id LEFT JOIN devices d ON d.id = a.device_id
			LEFT JOIN cars c ON c.id = a.car_id
		WHERE (@person = 0 OR a.person_id = @person) AND (@acts::text[] IS NULL OR a.act = ANY(@acts))
			AND (@car = 0 OR a.car_id = @car) AND (@piece::uuid IS NULL OR a.piece_id = @piece) AND (@before = 0 OR a.id < @before)
		ORDER BY a.id DESC LIMIT @limit`,
		pgx.StrictNamedArgs{"person": f.PersonID, "acts": f.Acts, "car": f.CarID, "piece": f.PieceID, "before": f.Before, "limit": limit})
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (restoration.AuditRow, error) {
		var r restoration.AuditRow
		var at time.Time
		err := row.Scan(&r.ID, &at, &r.Person, &r.Device, &r.Act, &r.Subject, &r.CarID, &r.WorkOrder, &r.PieceID, &r.Before, &r.After)
		r.At = at.UTC()
		return r, err
	})
}
