package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// deedRow is a row of coats, cut_passes or readings by its own columns; of the ledger a
// coat takes its paint's name and waits.
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
	Name        string // of the paint, or the grade
	Ml          float64
	Lots        []restoration.LotUse
	Waits       *restoration.Waits
	Reads       string
	Spot        string
	Baseline    bool
	FilmUm      []float64
	Gloss       *float64
	GlossAngle  *int
	L           *float64
	A           *float64
	B           *float64
	UnderClear  bool
}

// deedSelect lists what stands of the film, in no order; each part goes on with the
// same WHERE about its d.
func deedSelect(where string) string {
	return `
	SELECT d.event_id, 'coat' AS kind, d.component_id, d.step_id, d.stage, d.pass, d.at, d.person_id, coalesce(w.name, '') AS person,
		d.batch, d.layer, d.dry_low AS low, d.dry_um AS likely, d.dry_high AS high, d.number, d.material_id,
		coalesce(e.payload -> 'facts' ->> 'material', '') AS name, d.ml,
		(SELECT jsonb_agg(jsonb_build_object('lot', u.lot_id, 'ml', u.ml) ORDER BY u.lot_id) FROM coat_lots u WHERE u.event_id = d.event_id) AS lots,
		e.payload -> 'facts' -> 'waits' AS waits, '' AS reads, '' AS spot, false AS baseline, NULL::float8[] AS film_um, NULL::float8 AS gloss,
		NULL::int AS gloss_angle, NULL::float8 AS l, NULL::float8 AS a, NULL::float8 AS b, false AS under_clear
	FROM coats d LEFT JOIN shop_events e ON e.id = d.event_id LEFT JOIN people w ON w.id = d.person_id WHERE ` + where + `
	UNION ALL
	SELECT d.event_id, 'cut pass', d.component_id, d.step_id, d.stage, d.pass, d.at, d.person_id, coalesce(w.name, ''),
		d.batch, d.layer, d.off_low, d.off_um, d.off_high, 0, NULL, d.grade, 0, NULL,
		NULL, '', '', false, NULL, NULL, NULL, NULL, NULL, NULL, false
	FROM cut_passes d LEFT JOIN people w ON w.id = d.person_id WHERE ` + where + `
	UNION ALL
	SELECT d.event_id, 'reading', d.component_id, NULL, '', d.pass, d.at, d.person_id, coalesce(w.name, ''),
		d.batch, '', 0, 0, 0, 0, NULL, '', 0, NULL,
		NULL, d.kind, d.spot, d.baseline, d.film_um, d.gloss, d.gloss_angle, d.l, d.a, d.b, d.under_clear
	FROM readings d LEFT JOIN people w ON w.id = d.person_id WHERE ` + where
}

func toDeed(row pgx.CollectableRow) (restoration.Deed, error) {
	r, err := pgx.RowToStructByName[deedRow](row)
	d := restoration.Deed{
		EventID: r.EventID, Kind: restoration.Kind(r.Kind), PieceID: r.ComponentID, StepID: r.StepID, Stage: r.Stage, Pass: r.Pass,
		At: r.At.UTC(), PersonID: keyOrZero(r.PersonID), Person: r.Person, Batch: r.Batch,
		Layer: coating.Layer(r.Layer), Film: coating.Range{Low: r.Low, Likely: r.Likely, High: r.High},
		Number: r.Number, Material: keyOrZero(r.MaterialID), Name: r.Name, ML: r.Ml, Lots: r.Lots, Waits: r.Waits,
	}
	if d.Kind == restoration.KindReading {
		d.Reading = r.reading()
	}
	return d, err
}

func (r deedRow) reading() *restoration.Reading {
	reading := restoration.Reading{Kind: restoration.ReadingKind(r.Reads), Spot: r.Spot, Baseline: r.Baseline, FilmUM: r.FilmUm, UnderClear: r.UnderClear}
	if r.Gloss != nil && r.GlossAngle != nil {
		reading.Gloss = &colour.Gloss{GU: *r.Gloss, Angle: *r.GlossAngle}
	}
	if r.L != nil && r.A != nil && r.B != nil {
		reading.Lab = &colour.Lab{L: *r.L, A: *r.A, B: *r.B}
	}
	return &reading
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
