package store

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// loadFilm gives the rows of a car's film, and what is kept of each piece's.
func loadFilm(ctx context.Context, t tx, carID int64) (film []restoration.Deed, kept map[restoration.ID]restoration.FilmKept, err error) {
	var b pgx.Batch
	collect(&b, &film, toDeed, deedSelect(`d.car_id = $1`), carID)
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
		if was := kept[p.ID]; !was.Equal(is) {
			r.differ("piece %v: its film is kept as %+v, the ledger gives %+v", p.ID, was, is)
		}
	}
}

func inOrder(deeds map[restoration.ID]restoration.Deed) []restoration.Deed {
	return restoration.ByHour(slices.Collect(maps.Values(deeds)))
}

// tinHair is what a sum of amounts may be off by the order in which they are added, in mL.
const tinHair = 1e-3

// verifyTins compares what is kept as taken out of each tin with what the ledger tells.
func verifyTins(ctx context.Context, t tx, used map[int64]float64) (differences []string, err error) {
	rows, err := t.Query(ctx, `SELECT id, number, used_ml FROM lots ORDER BY id`)
	if err != nil {
		return nil, err
	}
	var id int64
	var number string
	var kept float64
	_, err = pgx.ForEachRow(rows, []any{&id, &number, &kept}, func() error {
		if math.Abs(kept-used[id]) > tinHair {
			differences = append(differences, fmt.Sprintf("tin %s: %.4g mL are kept as taken out of it, the ledger gives %.4g", number, kept, used[id]))
		}
		return nil
	})
	return differences, err
}
