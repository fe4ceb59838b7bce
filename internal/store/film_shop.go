package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// keptColumns are those of [restoration.FilmKept], in the order of scanKept.
const keptColumns = `f.on_low, f.on_um, f.on_high, f.left_low, f.left_um, f.left_high, f.cut_low, f.cut_um, f.cut_high, f.by_gauge,
	f.step_coats, f.session_um, f.coated_at, f.max_recoat_min, f.sand_min, f.before_um, f.kept_at, f.sanded_at, f.grade`

func scanKept(k *restoration.FilmKept) []any {
	return []any{&k.On.Low, &k.On.Likely, &k.On.High, &k.Left.Low, &k.Left.Likely, &k.Left.High,
		&k.CutAway.Low, &k.CutAway.Likely, &k.CutAway.High, &k.ByGauge, &k.Coats, &k.SessionUM,
		instant{&k.CoatedAt}, &k.MaxRecoat, &k.Sand, &k.BeforeUM, instant{&k.KeptAt}, instant{&k.SandedAt}, &k.Grade}
}

// ShopFilm gives the clear on every piece that has any, of every car that is not
// delivered, measured against its scheme, in no order.
func (s *Store) ShopFilm(ctx context.Context) (films []restoration.PieceFilm, err error) {
	defer wrap(&err, "list the film of the shop")
	rows, err := s.pool.Query(ctx, `
		SELECT p.id, p.car_id, p.scheme, s.floor_um, s.build_um, (SELECT (document -> 'film' ->> 'warn_um')::float8 FROM settings),
			(SELECT (document -> 'film' ->> 'edge_factor')::float8 FROM settings), `+keptColumns+`
		FROM films f JOIN components p ON p.id = f.component_id JOIN cars c ON c.id = p.car_id
		LEFT JOIN schemes s ON s.car_id = p.car_id AND lower(s.name) = lower(p.scheme)
		WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND (f.on_high > 0 OR f.by_gauge)`)
	if err != nil {
		return nil, err
	}
	stock := restoration.StockFilm()
	words := map[string]string{}
	scheme := word{known: words}
	var p restoration.PieceFilm
	var floor, build, warn, edge *float64
	var k restoration.FilmKept
	films = make([]restoration.PieceFilm, 0, s.shopFilms.Load())
	_, err = pgx.ForEachRow(rows, append([]any{&p.PieceID, &p.CarID, &scheme, &floor, &build, &warn, &edge}, scanKept(&k)...), func() error {
		policy := coating.Policy{FloorUM: orFloat(floor, restoration.StockFloorUM), BuildUM: orFloat(build, restoration.StockBuildUM),
			WarnUM: orFloat(warn, stock.WarnUM), EdgeFactor: orFloat(edge, stock.EdgeFactor)}
		p.Scheme, p.FloorUM, p.Film = scheme.text, policy.FloorUM, k.Film(policy)
		films = append(films, p)
		return nil
	})
	s.shopFilms.Store(int64(len(films)))
	return films, err
}

// orFloat gives another number for null.
func orFloat(v *float64, other float64) float64 {
	if v == nil {
		return other
	}
	return *v
}
