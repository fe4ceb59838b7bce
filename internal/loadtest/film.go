package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/internal/store"
)

const (
	filmRounds      = 31
	filmOfLimit     = 20 * time.Microsecond
	shopFilmLimit   = 150 * time.Millisecond
	filmsPerMeasure = 100
)

// measureFilm times what is made of the film in a shop whose every piece has a long one.
// Where the limit is a time it takes the least of the rounds: see [measureBatches].
func measureFilm(ctx context.Context, s *site) ([]figure, error) {
	url, err := s.filmShop(ctx)
	if err != nil {
		return nil, err
	}
	roll, err := rollFigure(ctx, url, "roll-up in a shop with film : plain sum")
	if err != nil {
		return nil, err
	}
	st, err := store.Open(ctx, url, store.Options{MaxConns: 1})
	if err != nil {
		return nil, err
	}
	defer st.Close()
	a, err := startApp(ctx, s.binary, "serve", "--database-url", url)
	if err != nil {
		return nil, err
	}
	defer a.stop()
	owner, err := a.signInOwner(ctx)
	if err != nil {
		return nil, err
	}
	ofPiece, deeds, err := filmOfPiece(ctx, st)
	if err != nil {
		return nil, err
	}
	page, err := batchesPage(ctx, owner, "/office/batches?hours=72")
	if err != nil {
		return nil, err
	}
	page.Name = "the batches page of the film's shop, within 3 days"
	table := []figure{roll, page}
	var films, candidates, groups int
	for _, m := range []struct {
		name   string
		limit  time.Duration
		times  time.Duration // how many times act does it
		act    func() error
		detail func() string
	}{
		{fmt.Sprintf("film of a piece with %d deeds", deeds), filmOfLimit, filmsPerMeasure, ofPiece, func() string { return "without reading them" }},
		{"film of the whole shop", shopFilmLimit, 1, func() error {
			list, err := st.ShopFilm(ctx)
			films = len(list)
			return err
		}, func() string { return fmt.Sprintf("%d pieces", films) }},
		{"batches of the whole shop", batchesLimit, 1, func() error {
			shop, err := st.SprayKeys(ctx)
			candidates, groups = len(shop.Keys), len(restoration.Batches(shop, time.Now(), 72*time.Hour))
			return err
		}, func() string { return fmt.Sprintf("%d of %d pieces", groups, candidates) }},
	} {
		took, err := least(filmRounds, m.act)
		if err != nil {
			return nil, err
		}
		took /= m.times
		table = append(table, figure{Name: m.name, Limit: "≤ " + m.limit.String(), Measured: short(took), Held: took <= m.limit,
			Detail: fmt.Sprintf("%s; least of %d", m.detail(), filmRounds)})
	}
	return table, nil
}

// least times an act once a round and gives the shortest.
func least(rounds int, act func() error) (time.Duration, error) {
	shortest := time.Duration(math.MaxInt64)
	for range rounds {
		began := time.Now()
		if err := act(); err != nil {
			return 0, err
		}
		shortest = min(shortest, time.Since(began))
	}
	return shortest, nil
}

// filmOfPiece gives an act that works out the film of a piece many times over.
func filmOfPiece(ctx context.Context, st *store.Store) (act func() error, deeds int, err error) {
	car, err := st.FindCar(ctx, "26-001")
	if err != nil {
		return nil, 0, err
	}
	pieces, err := st.CarPieces(ctx, car.ID)
	if err != nil {
		return nil, 0, err
	}
	routes, err := st.Routes(ctx)
	if err != nil {
		return nil, 0, err
	}
	p := pieces[0]
	film, err := st.Film(ctx, p.ID)
	if err != nil {
		return nil, 0, err
	}
	route := routes[slices.IndexFunc(routes, func(r restoration.Route) bool { return r.ID == p.RouteID })]
	policy := restoration.FilmScene{Film: restoration.StockFilm(), Scheme: restoration.StockScheme(car.ID, "")}.Policy()
	return func() error {
		for range filmsPerMeasure {
			if f := restoration.FilmOf(p, route, film, policy); !f.ByGauge {
				return fmt.Errorf("the film of piece %v has no measured spot", p.ID)
			}
		}
		return nil
	}, len(film), nil
}
