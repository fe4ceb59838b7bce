package store

import (
	"cmp"
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// defectRow is a send-back with what its ledger and its steps tell.
type defectRow struct {
	At        time.Time
	PieceID   restoration.ID
	Piece     string
	Zone      string
	Side      string
	Size      string
	Car       string
	Defect    string
	Found     string
	Back      string
	BackLook  string
	FoundLook string
	Hands     map[string]hand // who worked last at a stage of each look
	Hours     restoration.Minutes
	NoRework  bool
	Coats     map[coating.Layer]string // the name of the last material of each layer
}

type hand struct {
	ID   int64
	Name string
}

// defectSelect finds the step that failed (that of the stage sent back to in the pass that
// stood, where it had been done), the stage that was done last when it was found, and the steps
// that the send-back made rework: those of the pass after the failed one but for what was still
// to be done when it opened.
const defectSelect = `
	SELECT e.at, p.id AS piece_id, p.name AS piece, p.zone, p.side, p.size, car.work_order AS car,
		coalesce(e.payload ->> 'defect', '') AS defect, coalesce(found.name, '') AS found, coalesce(g.name, back.key) AS back,
		coalesce(g.document ->> 'look', '') AS back_look, coalesce(found.look, '') AS found_look, coalesce(hands.hands, '{}') AS hands,
		coalesce((e.payload ->> 'hours_min')::int, rework.planned, 0) AS hours, coalesce(coats.coats, '{}') AS coats,
		coalesce(NOT failed.done AND NOT failed.rework, false) AS no_rework
	FROM shop_events e JOIN components p ON p.id = e.component_id JOIN cars car ON car.id = p.car_id
	CROSS JOIN LATERAL (SELECT e.payload ->> 'stage' AS key) back
	LEFT JOIN route_stages g ON g.route_id = p.route_id AND g.key = back.key
	CROSS JOIN LATERAL ( -- each send-back opens a pass, so the n-th finds the n-th pass
		SELECT count(*) AS pass FROM shop_events x
		WHERE x.component_id = e.component_id AND x.kind = 'send back' AND x.outcome = 'applied' AND x.seq <= e.seq) stood
	LEFT JOIN LATERAL (
		SELECT s.pass, s.rework, coalesce(s.done_at <= e.at, false) AS done FROM finish_steps s
		WHERE s.component_id = e.component_id AND s.stage = back.key AND s.pass <= stood.pass
		ORDER BY s.pass DESC LIMIT 1) failed ON true
	LEFT JOIN LATERAL (
		SELECT coalesce(r.name, s.stage) AS name, r.document ->> 'look' AS look FROM finish_steps s
		LEFT JOIN route_stages r ON r.route_id = p.route_id AND r.key = s.stage
		WHERE s.component_id = e.component_id AND s.done_at <= e.at AND NOT EXISTS ( -- sent back before
			SELECT FROM finish_steps o WHERE o.component_id = s.component_id AND o.position = s.position AND o.pass > s.pass AND o.pass <= stood.pass)
		ORDER BY s.done_at DESC, s.position DESC LIMIT 1) found ON true
	LEFT JOIN LATERAL (
		SELECT sum(s.planned_min)::int AS planned FROM finish_steps s
		WHERE failed.done AND s.component_id = e.component_id AND s.rework AND s.pass = (
			SELECT min(n.pass) FROM finish_steps n WHERE n.component_id = e.component_id AND n.stage = back.key AND n.pass > failed.pass)
		AND coalesce((SELECT o.done_at IS NOT NULL FROM finish_steps o WHERE o.component_id = s.component_id AND o.stage = s.stage AND o.pass < s.pass
			ORDER BY o.pass DESC LIMIT 1), true)) rework ON true
	LEFT JOIN LATERAL (
		SELECT jsonb_object_agg(c.layer, c.name) AS coats FROM (
			SELECT DISTINCT ON (d.layer) d.layer, m.name FROM coats d JOIN materials m ON m.id = d.material_id
			WHERE d.component_id = e.component_id AND d.at <= e.at ORDER BY d.layer, d.at DESC) c) coats ON true
	LEFT JOIN LATERAL (
		SELECT jsonb_object_agg(h.look, jsonb_build_object('id', h.person_id, 'name', h.name)) AS hands FROM (
			SELECT DISTINCT ON (r.document ->> 'look') r.document ->> 'look' AS look, work.person_id, w.name
			FROM shop_events work JOIN finish_steps s ON s.id = work.step_id
			JOIN route_stages r ON r.route_id = p.route_id AND r.key = s.stage JOIN people w ON w.id = work.person_id
			WHERE work.component_id = e.component_id AND work.outcome = 'applied' AND work.at <= e.at AND work.seq < e.seq
				AND work.kind IN ('start', 'tick', 'coat', 'cut pass')
			ORDER BY r.document ->> 'look', work.at DESC, work.seq DESC) h WHERE h.look IS NOT NULL) hands ON true
	WHERE e.kind = 'send back' AND e.outcome = 'applied' AND e.at >= $1 AND e.at < $2
	ORDER BY e.at, e.seq`

// DefectRows lists the send-backs from an hour until before another, in the order of
// time, for [restoration.DefectStats].
func (s *Store) DefectRows(ctx context.Context, from, to time.Time) (_ []restoration.DefectRow, err error) {
	defer wrap(&err, "list the defects from %v to %v", from, to)
	rows, err := s.pool.Query(ctx, defectSelect, from, to)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (restoration.DefectRow, error) {
		r, err := pgx.RowToStructByName[defectRow](row)
		look := restoration.Look(r.BackLook)
		layer := cmp.Or(restoration.LayerOf(look), restoration.CutLayer(look))
		piece := restoration.Details{Name: r.Piece, Zone: restoration.Zone(r.Zone), Side: restoration.Side(r.Side)}
		d, known := restoration.FindDefect(r.Defect)
		made := r.Hands[cmp.Or(string(d.MadeAt()), r.FoundLook)]
		if known && r.Hours == 0 {
			r.Hours = d.HoursFor(restoration.Size(r.Size)).Likely // nothing had been done yet: the stage that was next became dearer
		}
		return restoration.DefectRow{At: r.At.UTC(), PieceID: r.PieceID, Piece: piece.Title(), Car: r.Car, Defect: r.Defect,
			Found: r.Found, Back: r.Back, Material: r.Coats[layer], PersonID: made.ID, Person: made.Name, Hours: r.Hours, NoRework: r.NoRework}, err
	})
}
