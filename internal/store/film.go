package store

import (
	"context"
	"slices"
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
	if r.Payload.Coat != nil {
		d.Lots = r.Payload.Coat.Lots
	}
	if r.Payload.Facts != nil && d.Kind == restoration.KindCoat {
		d.Waits = r.Payload.Facts.Waits
	}
	return d, err
}

// byHour puts what was done in the order in which it happened.
func byHour(deeds []restoration.Deed) []restoration.Deed {
	slices.SortStableFunc(deeds, func(a, b restoration.Deed) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		return slices.Compare(a.EventID[:], b.EventID[:])
	})
	return deeds
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
	return byHour(deeds), err
}

// queueFilm queues the rows that an applied entry adds to the film, or takes off it.
func queueFilm(b *pgx.Batch, p restoration.Piece, e restoration.Event) {
	step := restoration.Step{}
	if i := slices.IndexFunc(p.Steps, func(s restoration.Step) bool { return s.ID == e.StepID }); i >= 0 {
		step = p.Steps[i]
	}
	switch e.Kind {
	case restoration.KindCoat:
		queueCoat(b, step, e)
	case restoration.KindCutPass:
		b.Queue(`INSERT INTO cut_passes (event_id, component_id, car_id, step_id, stage, pass, at, person_id, batch, layer,
				grade, off_low, off_um, off_high)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
			e.ID, e.PieceID, e.CarID, e.StepID, step.Stage, step.Pass, e.At, keyOrNull(e.PersonID), e.Batch, string(e.Facts.Layer),
			e.Cut.Grade, e.Facts.Film.Low, e.Facts.Film.Likely, e.Facts.Film.High)
	case restoration.KindReading:
		queueReading(b, p, e)
	case restoration.KindStrike:
		for _, table := range []string{"coats", "cut_passes", "readings"} {
			b.Queue(`DELETE FROM `+table+` WHERE event_id = $1`, e.Ref)
		}
	}
}

func queueCoat(b *pgx.Batch, step restoration.Step, e restoration.Event) {
	b.Queue(`INSERT INTO coats (event_id, component_id, car_id, step_id, stage, pass, at, person_id, batch, layer, number,
			material_id, dry_low, dry_um, dry_high, ml)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
		e.ID, e.PieceID, e.CarID, e.StepID, step.Stage, step.Pass, e.At, keyOrNull(e.PersonID), e.Batch, string(e.Facts.Layer),
		e.Coat.Number, keyOrNull(e.Coat.Material), e.Facts.Film.Low, e.Facts.Film.Likely, e.Facts.Film.High, e.Coat.ML)
	for _, use := range e.Facts.Lots {
		b.Queue(`INSERT INTO coat_lots (event_id, lot_id, ml) VALUES ($1, $2, $3)
			ON CONFLICT (event_id, lot_id) DO UPDATE SET ml = coat_lots.ml + excluded.ml`, e.ID, use.Lot, use.ML)
	}
}

func queueReading(b *pgx.Batch, p restoration.Piece, e restoration.Event) {
	r := e.Reading
	var gloss, l, a, bb *float64
	var angle *int
	if r.Gloss != nil {
		gloss, angle = &r.Gloss.GU, &r.Gloss.Angle
	}
	if r.Lab != nil {
		l, a, bb = &r.Lab.L, &r.Lab.A, &r.Lab.B
	}
	b.Queue(`INSERT INTO readings (event_id, component_id, car_id, pass, at, person_id, kind, spot, baseline, film_um, gloss,
			gloss_angle, l, a, b, under_clear)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
		e.ID, e.PieceID, e.CarID, p.LastPass(), e.At, keyOrNull(e.PersonID), string(r.Kind), r.Spot, r.Baseline, r.FilmUM,
		gloss, angle, l, a, bb, r.UnderClear)
}
