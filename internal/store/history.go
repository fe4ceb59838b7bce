package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// entryRow is a row of the ledger with the names that a reader wants.
type entryRow struct {
	eventRow
	Piece     string
	Zone      string
	Side      string
	Stage     string
	Pass      int
	Position  int
	Person    string
	Device    string
	CarWO     string `db:"car_wo"`
	Car       string
	SettledAt *time.Time
	Through   bool
}

// entrySelect goes on with a WHERE. A step may have been planned away since: then
// its stage is unknown. An entry went through when its like was taken later: whoever ticks a
// step has ticked it, but hours, notes and photos are of the person who enters them.
const entrySelect = `
	SELECT ` + eventColumns + `, coalesce(p.name, '') AS piece, coalesce(p.zone, '') AS zone, coalesce(p.side, '') AS side,
		coalesce(g.name, s.stage, '') AS stage, coalesce(s.pass, 0) AS pass, coalesce(s.position, 0) AS position,
		coalesce(h.name, '') AS person, coalesce(d.name, '') AS device, coalesce(c.work_order, '') AS car_wo, coalesce(c.name, '') AS car,
		(SELECT min(x.at) FROM shop_events x WHERE e.outcome = 'refused' AND x.kind = 'settle'
			AND x.payload ->> 'ref' = e.id::text AND x.outcome = 'applied') AS settled_at,
		e.outcome = 'refused' AND EXISTS (SELECT FROM shop_events x WHERE x.component_id = e.component_id AND x.seq > e.seq
			AND x.outcome = 'applied' AND x.kind = e.kind AND x.step_id IS NOT DISTINCT FROM e.step_id
			AND (x.person_id IS NOT DISTINCT FROM e.person_id OR e.kind NOT IN ('log time', 'still to go', 'pause', 'note', 'photo'))
			AND x.payload ->> 'stage' IS NOT DISTINCT FROM e.payload ->> 'stage'
			AND x.payload #> '{coat,number}' IS NOT DISTINCT FROM e.payload #> '{coat,number}'
			AND x.payload #> '{cut,grade}' IS NOT DISTINCT FROM e.payload #> '{cut,grade}'
			AND x.payload #> '{reading,kind}' IS NOT DISTINCT FROM e.payload #> '{reading,kind}'
			AND x.payload #> '{reading,spot}' IS NOT DISTINCT FROM e.payload #> '{reading,spot}') AS through
	FROM shop_events e
	LEFT JOIN cars c ON c.id = e.car_id
	LEFT JOIN components p ON p.id = e.component_id
	LEFT JOIN finish_steps s ON s.id = e.step_id AND s.component_id = e.component_id
	LEFT JOIN route_stages g ON g.route_id = p.route_id AND g.key = s.stage
	LEFT JOIN people h ON h.id = e.person_id
	LEFT JOIN devices d ON d.id = e.device_id `

func toEntry(row pgx.CollectableRow) (restoration.Entry, error) {
	r, err := pgx.RowToStructByName[entryRow](row)
	piece := restoration.Details{Name: r.Piece, Zone: restoration.Zone(r.Zone), Side: restoration.Side(r.Side)}
	return restoration.Entry{
		Seq: r.Seq, Event: r.event(), Outcome: r.outcome(), Piece: piece.Title(), Stage: r.Stage, Pass: r.Pass, Position: r.Position,
		Person: r.Person, Device: r.Device, CarWO: r.CarWO, Car: r.Car, Settled: orZero(r.SettledAt), Through: r.Through,
	}, err
}

// History lists entries of the ledger as they arrived, or happened, the newest first.
func (s *Store) History(ctx context.Context, f restoration.HistoryFilter) (_ []restoration.Entry, err error) {
	defer wrap(&err, "list the ledger %+v", f)
	where, args := `WHERE true`, pgx.StrictNamedArgs{"limit": f.Limit}
	if f.Limit <= 0 {
		args["limit"] = 100
	}
	if f.CarID != 0 {
		where, args["car"] = where+` AND e.car_id = @car`, f.CarID
	}
	if !f.PieceID.IsZero() {
		where, args["piece"] = where+` AND e.component_id = @piece`, f.PieceID
	}
	order, before := `e.seq DESC`, ` AND e.seq < @before`
	if f.ByHour {
		order, before = `e.at DESC, e.seq DESC`, ` AND (e.at, e.seq) < (SELECT b.at, b.seq FROM shop_events b WHERE b.seq = @before)`
	}
	if f.Before != 0 {
		where, args["before"] = where+before, f.Before
	}
	if f.Kind != "" {
		where, args["kind"] = where+` AND e.kind = @kind`, string(f.Kind)
	}
	if f.RefusedOpen {
		where += ` AND e.outcome = 'refused' AND NOT EXISTS (SELECT FROM shop_events x
			WHERE x.kind = 'settle' AND x.payload ->> 'ref' = e.id::text AND x.outcome = 'applied')`
	}
	if f.Noted {
		where += ` AND e.outcome = 'applied' AND e.payload ->> 'note' <> ''`
	}
	if f.ByHour { // the page is found among the entries alone, and only its rows are joined
		where = `WHERE e.seq IN (SELECT e.seq FROM shop_events e ` + where + ` ORDER BY ` + order + ` LIMIT @limit)`
	}
	rows, err := s.pool.Query(ctx, entrySelect+where+` ORDER BY `+order+` LIMIT @limit`, args)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toEntry)
}

// Overrides lists the steps that were begun or ticked against a wait since an hour,
// the newest first. A tick that was taken back is none.
func (s *Store) Overrides(ctx context.Context, since time.Time) (_ []restoration.Entry, err error) {
	defer wrap(&err, "list what was done against a wait since %v", since)
	// The rules leave the reason on the step only where it was needed.
	rows, err := s.pool.Query(ctx, entrySelect+`
		WHERE e.at >= $1 AND e.kind IN ('tick', 'start') AND e.outcome = 'applied' AND e.payload ->> 'reason' <> ''
			AND s.reason <> '' AND s.state IN ('in hand', 'done', 'superseded')
		ORDER BY e.seq DESC LIMIT 200`, since)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toEntry)
}
