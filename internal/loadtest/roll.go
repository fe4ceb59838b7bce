package main

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"scumble/internal/store"
)

const (
	rollRounds = 31
	rollLimit  = 1.5
	pageLimit  = 3.0
)

// plainSum is the least that Postgres must do to know the hours of every car.
const plainSum = `SELECT car_id, sum(planned_min), sum(logged_min), sum(left_min) FROM finish_steps GROUP BY car_id`

// rolled is the large shop with both sides of the roll-up at hand.
type rolled struct {
	store *store.Store
	notes *recorder
	pool  *pgxpool.Pool // set as the store's own
}

func openRolled(ctx context.Context, url string) (_ *rolled, err error) {
	r := &rolled{notes: &recorder{}}
	if r.pool, err = barePool(ctx, url, 1); err != nil {
		return nil, err
	}
	r.store, err = store.Open(ctx, url, store.Options{MaxConns: 1, Tracer: r.notes})
	if err != nil {
		r.pool.Close()
	}
	return r, err
}

func (r *rolled) close() {
	r.pool.Close()
	r.store.Close()
}

// barePool connects as the store does.
func barePool(ctx context.Context, url string, conns int32) (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	config.MaxConns = conns
	config.AfterConnect = func(ctx context.Context, conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, `SET random_page_cost = 1.1; SET ROLE scumble_app`)
		return err
	}
	return pgxpool.NewWithConfig(ctx, config)
}

// drain runs a query and receives its rows without reading them.
func drain(ctx context.Context, pool *pgxpool.Pool, sql string, args ...any) func() error {
	return func() error {
		rows, err := pool.Query(ctx, sql, args...)
		if err != nil {
			return err
		}
		for rows.Next() {
		}
		return rows.Err()
	}
}

// rollQuery is the roll-up's own statement, with the arguments it was sent with.
func (r *rolled) rollQuery(ctx context.Context) (string, []any, error) {
	r.notes.take()
	if _, err := r.store.Roll(ctx, false); err != nil {
		return "", nil, err
	}
	for _, s := range r.notes.take() {
		if len(s.args) > 0 {
			args, ok := s.args[0].(pgx.StrictNamedArgs)
			if !ok {
				return s.sql, s.args, nil
			}
			return s.sql, []any{args}, nil
		}
	}
	return "", nil, fmt.Errorf("the roll-up sent no statement with arguments")
}

// measureRoll holds the roll-up, with all that the program makes of its rows, against
// the plain sum.
func measureRoll(ctx context.Context, s *site) ([]figure, error) {
	url, err := s.shop(ctx, s.cars)
	if err != nil {
		return nil, err
	}
	f, err := rollFigure(ctx, url, "roll-up of the shop : plain sum")
	return []figure{f}, err
}

func rollFigure(ctx context.Context, url, name string) (figure, error) {
	r, err := openRolled(ctx, url)
	if err != nil {
		return figure{}, err
	}
	defer r.close()
	sql, args, err := r.rollQuery(ctx)
	if err != nil {
		return figure{}, err
	}
	times, err := interleave(rollRounds,
		func() error { _, err := r.store.Roll(ctx, false); return err },
		drain(ctx, r.pool, sql, args...),
		drain(ctx, r.pool, plainSum))
	if err != nil {
		return figure{}, err
	}
	return atMost(name, times[0], times[2], rollLimit,
		fmt.Sprintf("the query alone %s; medians of %d", short(times[1]), rollRounds)), nil
}

// measurePage holds the shop's page, signed in and over HTTP, against the roll-up's
// query alone.
func measurePage(ctx context.Context, s *site) ([]figure, error) {
	url, err := s.shop(ctx, s.cars)
	if err != nil {
		return nil, err
	}
	r, err := openRolled(ctx, url)
	if err != nil {
		return nil, err
	}
	defer r.close()
	sql, args, err := r.rollQuery(ctx)
	if err != nil {
		return nil, err
	}
	a, err := s.bigApp(ctx)
	if err != nil {
		return nil, err
	}
	owner, err := a.signInOwner(ctx)
	if err != nil {
		return nil, err
	}
	var page answer
	times, err := interleave(rollRounds,
		func() (err error) {
			page, err = owner.receive(ctx, "/office")
			return err
		},
		drain(ctx, r.pool, sql, args...))
	if err != nil {
		return nil, err
	}
	text, err := page.text()
	return []figure{atMost("the shop's page : roll-up query alone", times[0], times[1], pageLimit,
		fmt.Sprintf("to its last byte, %.0f kB of HTML in %.0f kB of gzip; medians of %d", kB(len(text)), kB(page.size), rollRounds))}, err
}
