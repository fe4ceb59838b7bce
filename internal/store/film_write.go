package store

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// queueFilm queues the rows that an applied entry adds to the film or takes off it, and
// what is kept of the piece's film then. deeds is the film before the entry, where the
// rules asked for it.
func queueFilm(ctx context.Context, t tx, b *pgx.Batch, before, after restoration.Piece, r restoration.Route,
	e restoration.Event, deeds []restoration.Deed) error {
	d, adds := restoration.DeedOf(after, e)
	switch {
	case adds:
		queueDeed(b, after.CarID, d)
		deeds = append(slices.Clone(deeds), d)
	case e.Kind == restoration.KindStrike:
		queueGivenBack(b, deeds, e.Ref)
		for _, table := range []string{"coats", "cut_passes", "readings"} {
			b.Queue(`DELETE FROM `+table+` WHERE event_id = $1`, e.Ref)
		}
		deeds = slices.DeleteFunc(slices.Clone(deeds), func(d restoration.Deed) bool { return d.EventID == e.Ref })
	case restoration.FilmMoves(before, after):
		if len(deeds) == 0 {
			rows, err := t.Query(ctx, deedSelect(`d.component_id = $1`), after.ID)
			if err != nil {
				return err
			}
			if deeds, err = pgx.CollectRows(rows, toDeed); err != nil || len(deeds) == 0 {
				return err
			}
		}
	default:
		return nil
	}
	queueKeptFilm(b, after.ID, restoration.KeptOf(after, r, restoration.ByHour(deeds)))
	return nil
}

func queueDeed(b *pgx.Batch, carID int64, d restoration.Deed) {
	switch d.Kind {
	case restoration.KindCoat:
		b.Queue(`INSERT INTO coats (event_id, component_id, car_id, step_id, stage, pass, at, person_id, batch, layer, number,
				material_id, dry_low, dry_um, dry_high, ml)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
			d.EventID, d.PieceID, carID, d.StepID, d.Stage, d.Pass, d.At, keyOrNull(d.PersonID), d.Batch, string(d.Layer), d.Number,
			keyOrNull(d.Material), d.Film.Low, d.Film.Likely, d.Film.High, d.ML)
		// A deed tells its tins in the order of their numbers: every entry locks them so, after
		// its car and piece, and no two wait for each other.
		for _, use := range d.Lots {
			b.Queue(`INSERT INTO coat_lots (event_id, lot_id, ml) VALUES ($1, $2, $3)`, d.EventID, use.Lot, use.ML)
			b.Queue(`UPDATE lots SET used_ml = used_ml + $2 WHERE id = $1`, use.Lot, use.ML)
		}
	case restoration.KindCutPass:
		b.Queue(`INSERT INTO cut_passes (event_id, component_id, car_id, step_id, stage, pass, at, person_id, batch, layer,
				grade, off_low, off_um, off_high)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
			d.EventID, d.PieceID, carID, d.StepID, d.Stage, d.Pass, d.At, keyOrNull(d.PersonID), d.Batch, string(d.Layer),
			d.Name, d.Film.Low, d.Film.Likely, d.Film.High)
	case restoration.KindReading:
		queueReading(b, carID, d)
	}
}

// queueGivenBack gives the tins back what a coat that is struck took out of them.
func queueGivenBack(b *pgx.Batch, deeds []restoration.Deed, coat restoration.ID) {
	for _, d := range deeds {
		if d.EventID != coat {
			continue
		}
		for _, use := range d.Lots {
			// The sum of fractions may end a hair under nought.
			b.Queue(`UPDATE lots SET used_ml = greatest(used_ml - $2, 0) WHERE id = $1`, use.Lot, use.ML)
		}
	}
}

func queueReading(b *pgx.Batch, carID int64, d restoration.Deed) {
	r := d.Reading
	var gloss, l, a, bb *float64
	var angle *int
	if r.Gloss != nil {
		gloss, angle = &r.Gloss.GU, &r.Gloss.Angle
	}
	if r.Lab != nil {
		l, a, bb = &r.Lab.L, &r.Lab.A, &r.Lab.B
	}
	b.Queue(`INSERT INTO readings (event_id, component_id, car_id, pass, at, person_id, batch, kind, spot, baseline, film_um, gloss,
			gloss_angle, l, a, b, under_clear)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`,
		d.EventID, d.PieceID, carID, d.Pass, d.At, keyOrNull(d.PersonID), d.Batch, string(r.Kind), r.Spot, r.Baseline, r.FilmUM,
		gloss, angle, l, a, bb, r.UnderClear)
}

func queueKeptFilm(b *pgx.Batch, piece restoration.ID, k restoration.FilmKept) {
	b.Queue(`INSERT INTO films (component_id, on_low, on_um, on_high, left_low, left_um, left_high, cut_low, cut_um, cut_high, by_gauge,
			step_coats, session_um, coated_at, max_recoat_min, sand_min, before_um, kept_at, sanded_at, grade)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20)
		ON CONFLICT (component_id) DO UPDATE SET on_low = excluded.on_low, on_um = excluded.on_um, on_high = excluded.on_high,
			left_low = excluded.left_low, left_um = excluded.left_um, left_high = excluded.left_high,
			cut_low = excluded.cut_low, cut_um = excluded.cut_um, cut_high = excluded.cut_high, by_gauge = excluded.by_gauge,
			step_coats = excluded.step_coats, session_um = excluded.session_um, coated_at = excluded.coated_at,
			max_recoat_min = excluded.max_recoat_min, sand_min = excluded.sand_min, before_um = excluded.before_um, kept_at = excluded.kept_at,
			sanded_at = excluded.sanded_at, grade = excluded.grade`,
		piece, k.On.Low, k.On.Likely, k.On.High, k.Left.Low, k.Left.Likely, k.Left.High,
		k.CutAway.Low, k.CutAway.Likely, k.CutAway.High, k.ByGauge,
		k.Coats, k.SessionUM, orNull(k.CoatedAt), k.MaxRecoat, k.Sand, k.BeforeUM, orNull(k.KeptAt), orNull(k.SandedAt), k.Grade)
}
