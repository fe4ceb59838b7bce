package store

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// filmRow is a row of coats, cut_passes or readings by its own columns: what the
// ledger says of it is left aside.
type filmRow struct {
	EventID     restoration.ID
	Kind        string
	ComponentID restoration.ID
	StepID      restoration.ID
	Stage       string
	Pass        int
	At          time.Time
	PersonID    *int64
	Batch       restoration.ID
	Layer       string
	Low         float64
	Likely      float64
	High        float64
	Number      int
	MaterialID  *int64
	Grade       string
	Ml          float64
	Lots        []restoration.LotUse
	Reading     string
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

const filmRows = `
	SELECT event_id, 'coat' AS kind, component_id, step_id, stage, pass, at, person_id, batch, layer, dry_low AS low, dry_um AS likely,
		dry_high AS high, number, material_id, '' AS grade, ml,
		(SELECT coalesce(jsonb_agg(jsonb_build_object('lot', u.lot_id, 'ml', u.ml) ORDER BY u.lot_id), '[]') FROM coat_lots u
			WHERE u.event_id = coats.event_id) AS lots,
		'' AS reading, '' AS spot, false AS baseline, NULL::float8[] AS film_um, NULL::float8 AS gloss, NULL::int AS gloss_angle,
		NULL::float8 AS l, NULL::float8 AS a, NULL::float8 AS b, false AS under_clear
	FROM coats WHERE car_id = $1
	UNION ALL
	SELECT event_id, 'cut pass', component_id, step_id, stage, pass, at, person_id, batch, layer, off_low, off_um, off_high, 0, NULL, grade,
		0, '[]', '', '', false, NULL, NULL, NULL, NULL, NULL, NULL, false
	FROM cut_passes WHERE car_id = $1
	UNION ALL
	SELECT event_id, 'reading', component_id, NULL, '', pass, at, person_id, batch, '', 0, 0, 0, 0, NULL, '',
		0, '[]', kind, spot, baseline, film_um, gloss, gloss_angle, l, a, b, under_clear
	FROM readings WHERE car_id = $1`

func (r filmRow) deed() restoration.Deed {
	d := restoration.Deed{EventID: r.EventID, Kind: restoration.Kind(r.Kind), PieceID: r.ComponentID, StepID: r.StepID, Stage: r.Stage,
		Pass: r.Pass, At: r.At.UTC(), PersonID: keyOrZero(r.PersonID), Batch: r.Batch, Layer: coating.Layer(r.Layer),
		Film: coating.Range{Low: r.Low, Likely: r.Likely, High: r.High}, Number: r.Number, Material: keyOrZero(r.MaterialID),
		Name: r.Grade, ML: r.Ml, Lots: r.Lots}
	if d.Kind != restoration.KindReading {
		return d
	}
	d.Reading = &restoration.Reading{Kind: restoration.ReadingKind(r.Reading), Spot: r.Spot, Baseline: r.Baseline, FilmUM: r.FilmUm,
		UnderClear: r.UnderClear}
	if r.Gloss != nil && r.GlossAngle != nil {
		d.Reading.Gloss = &colour.Gloss{GU: *r.Gloss, Angle: *r.GlossAngle}
	}
	if r.L != nil && r.A != nil && r.B != nil {
		d.Reading.Lab = &colour.Lab{L: *r.L, A: *r.A, B: *r.B}
	}
	return d
}

// loadFilm gives the rows of a car's film, and what is kept of each piece's.
func loadFilm(ctx context.Context, t tx, carID int64) (film []restoration.Deed, kept map[restoration.ID]restoration.FilmKept, err error) {
	var b pgx.Batch
	collect(&b, &film, func(row pgx.CollectableRow) (restoration.Deed, error) {
		r, err := pgx.RowToStructByName[filmRow](row)
		return r.deed(), err
	}, filmRows, carID)
	kept = map[restoration.ID]restoration.FilmKept{}
	b.Queue(`SELECT f.component_id, `+keptColumns+` FROM films f JOIN components p ON p.id = f.component_id WHERE p.car_id = $1`, carID).
		Query(func(rows pgx.Rows) error {
			var id restoration.ID
			var k restoration.FilmKept
			_, err := pgx.ForEachRow(rows, append([]any{&id}, scanKept(&k)...), func() error { kept[id] = k; return nil })
			return err
		})
	return film, kept, t.SendBatch(ctx, &b).Close()
}

// enterFilm does to the film what an applied entry does.
func (r *replay) enterFilm(e restoration.Event) {
	p, _ := r.book.Piece(e.PieceID)
	if d, ok := restoration.DeedOf(p, e); ok {
		r.film[d.EventID] = d
	}
	if e.Kind == restoration.KindStrike {
		delete(r.film, e.Ref)
	}
}

var filmNames = []string{"kind", "component_id", "step_id", "stage", "pass", "at", "person_id", "batch", "layer", "film", "number",
	"material_id", "grade", "ml", "lots", "reading"}

func filmValues(d restoration.Deed) []any {
	grade := ""
	if d.Kind == restoration.KindCutPass {
		grade = d.Name
	}
	return []any{d.Kind, d.PieceID, d.StepID, d.Stage, d.Pass, &d.At, d.PersonID, d.Batch, d.Layer, d.Film, d.Number, d.Material,
		grade, d.ML, fmt.Sprint(d.Lots), inJSON(d.Reading)}
}

// inJSON writes a reading so that two can be compared and read.
func inJSON(r *restoration.Reading) string {
	b, err := json.Marshal(r)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

// compareFilm holds the film that the ledger tells against its rows, and against what
// is kept of each piece.
func (r *replay) compareFilm(stored []restoration.Deed, kept map[restoration.ID]restoration.FilmKept) {
	told := maps.Clone(r.film)
	for _, d := range stored {
		name := fmt.Sprintf("%s %v", d.Kind, d.EventID)
		if t, ok := told[d.EventID]; ok {
			r.columns(name, filmNames, filmValues(d), filmValues(t))
			delete(told, d.EventID)
		} else {
			r.differ("%s is stored, but the ledger doesn't tell of it", name)
		}
	}
	for _, d := range inOrder(told) {
		r.differ("%s %v is told by the ledger, but is not stored", d.Kind, d.EventID)
	}
	byPiece := map[restoration.ID][]restoration.Deed{}
	for _, d := range inOrder(r.film) {
		byPiece[d.PieceID] = append(byPiece[d.PieceID], d)
	}
	for _, p := range r.book.Pieces() {
		is := restoration.KeptOf(p, r.book.Route(p.RouteID), byPiece[p.ID])
		if was := kept[p.ID]; was != is {
			r.differ("piece %v: its film is kept as %+v, the ledger gives %+v", p.ID, was, is)
		}
	}
}

func inOrder(deeds map[restoration.ID]restoration.Deed) []restoration.Deed {
	return restoration.ByHour(slices.Collect(maps.Values(deeds)))
}
