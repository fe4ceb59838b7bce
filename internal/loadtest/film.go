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
	page, err := batchesPage(ctx, owner, "/office/batches?hours=72")
	if err != nil {
		return nil, err
	}
	page.Name = "the batches page of the film's shop, within 3 days"
	table := []figure{roll, page}
	for _, of := range []func(context.Context, *store.Store) (figure, error){filmOfPiece, filmOfShop, batchesOfShop} {
		f, err := of(ctx, st)
		if err != nil {
			return nil, err
		}
		table = append(table, f)
	}
	return table, nil
}

// within is the figure of an act that must not take longer than a limit when it is done
// once; detail tells what it did.
func within(name string, limit time.Duration, times int, act func() error, detail func() string) (figure, error) {
	took, err := least(filmRounds, act)
	took /= time.Duration(times)
	return figure{Name: name, Limit: "≤ " + limit.String(), Measured: short(took), Held: took <= limit,
		Detail: fmt.Sprintf("%s; least of %d", detail(), filmRounds)}, err
}

func filmOfShop(ctx context.Context, st *store.Store) (figure, error) {
	var films []restoration.PieceFilm
	return within("film of the whole shop", shopFilmLimit, 1, func() (err error) {
		films, err = st.ShopFilm(ctx)
		return err
	}, func() string { return fmt.Sprintf("%d pieces", len(films)) })
}

func batchesOfShop(ctx context.Context, st *store.Store) (figure, error) {
	var shop restoration.SprayShop
	var batches []restoration.Batch
	return within("batches of the whole shop", batchesLimit, 1, func() (err error) {
		shop, err = st.SprayKeys(ctx)
		batches = restoration.Batches(shop, time.Now(), 72*time.Hour)
		return err
	}, func() string { return fmt.Sprintf("%d of %d pieces", len(batches), len(shop.Keys)) })
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

// filmOfPiece times the film of one piece without the reading of its deeds.
func filmOfPiece(ctx context.Context, st *store.Store) (figure, error) {
	car, err := st.FindCar(ctx, "26-001")
	if err != nil {
		return figure{}, err
	}
	pieces, err := st.CarPieces(ctx, car.ID)
	if err != nil {
		return figure{}, err
	}
	routes, err := st.Routes(ctx)
	if err != nil {
		return figure{}, err
	}
	p := pieces[0]
	deeds, err := st.Film(ctx, p.ID)
	if err != nil {
		return figure{}, err
	}
	route := routes[slices.IndexFunc(routes, func(r restoration.Route) bool { return r.ID == p.RouteID })]
	policy := restoration.FilmScene{Film: restoration.StockFilm(), Scheme: restoration.StockScheme(car.ID, "")}.Policy()
	return within(fmt.Sprintf("film of a piece with %d deeds", len(deeds)), filmOfLimit, filmsPerMeasure, func() error {
		for range filmsPerMeasure {
			if f := restoration.FilmOf(p, route, deeds, policy); !f.ByGauge {
				return fmt.Errorf("the film of piece %v has no measured spot", p.ID)
			}
		}
		return nil
	}, func() string { return "once they are read" })
}
