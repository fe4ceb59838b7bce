package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// deedRow is a coat, a cutting pass or a reading.
type deedRow struct {
	EventID     restoration.ID
	Kind        string
	ComponentID restoration.ID
	StepID      restoration.ID
	Stage       string
	Pass        int
	At          time.Time
	PersonID    *int64
	Person      string
	Batch       restoration.ID
	Layer       string
	Low         float64
	Likely      float64
	High        float64
	Number      int
	MaterialID  *int64
	Name        string
	Ml          float64
	Payload     restoration.Payload
}

// deedSelect lists what stands of the film, in no order; each part goes on with the
// same WHERE about its d.
func deedSelect(where string) string {
	return `
	SELECT d.event_id, 'coat' AS kind, d.component_id, d.step_id, d.stage, d.pass, d.at, d.person_id, coalesce(w.name, '') AS person,
		d.batch, d.layer, d.dry_low AS low, d.dry_um AS likely, d.dry_high AS high, d.number, d.material_id,
		coalesce(e.payload -> 'facts' ->> 'material', '') AS name, d.ml, e.payload
	FROM coats d JOIN shop_events e ON e.id = d.event_id LEFT JOIN people w ON w.id = d.person_id WHERE ` + where + `
	UNION ALL
	SELECT d.event_id, 'cut pass', d.component_id, d.step_id, d.stage, d.pass, d.at, d.person_id, coalesce(w.name, ''),
		d.batch, d.layer, d.off_low, d.off_um, d.off_high, 0, NULL, d.grade, 0, e.payload
	FROM cut_passes d JOIN shop_events e ON e.id = d.event_id LEFT JOIN people w ON w.id = d.person_id WHERE ` + where + `
	UNION ALL
	SELECT d.event_id, 'reading', d.component_id, NULL, '', d.pass, d.at, d.person_id, coalesce(w.name, ''),
		e_batch.batch, '', 0, 0, 0, 0, NULL, d.spot, 0, e.payload
	FROM readings d JOIN shop_events e ON e.id = d.event_id LEFT JOIN people w ON w.id = d.person_id
	CROSS JOIN LATERAL (SELECT (e.payload ->> 'batch')::uuid AS batch) e_batch WHERE ` + where
}

func toDeed(row pgx.CollectableRow) (restoration.Deed, error) {
	r, err := pgx.RowToStructByName[deedRow](row)
	d := restoration.Deed{
		EventID: r.EventID, Kind: restoration.Kind(r.Kind), PieceID: r.ComponentID, StepID: r.StepID, Stage: r.Stage, Pass: r.Pass,
		At: r.At.UTC(), PersonID: keyOrZero(r.PersonID), Person: r.Person, Batch: r.Batch,
		Layer: coating.Layer(r.Layer), Film: coating.Range{Low: r.Low, Likely: r.Likely, High: r.High},
		Number: r.Number, Material: keyOrZero(r.MaterialID), Name: r.Name, ML: r.Ml, Reading: r.Payload.Reading,
	}
	if f := r.Payload.Facts; f != nil && d.Kind == restoration.KindCoat {
		d.Waits, d.Lots = f.Waits, f.Lots
	}
	return d, err
}

// Film lists what was sprayed on a piece, sanded off it and measured, in the order in
// which it happened. What was struck out is left out.
func (s *Store) Film(ctx context.Context, piece restoration.ID) (_ []restoration.Deed, err error) {
	defer wrap(&err, "list the film of piece %v", piece)
	return s.deeds(ctx, `d.component_id = $1`, piece)
}

// CarFilm is [Store.Film] of every piece of a car.
func (s *Store) CarFilm(ctx context.Context, carID int64) (_ []restoration.Deed, err error) {
	defer wrap(&err, "list the film of car %d", carID)
	return s.deeds(ctx, `d.car_id = $1`, carID)
}

func (s *Store) deeds(ctx context.Context, where string, args ...any) ([]restoration.Deed, error) {
	rows, err := s.pool.Query(ctx, deedSelect(where), args...)
	if err != nil {
		return nil, err
	}
	deeds, err := pgx.CollectRows(rows, toDeed)
	return restoration.ByHour(deeds), err
}
