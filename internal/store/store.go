// Package store keeps the shop in Postgres. It is the only room that speaks SQL.
//
// An exported method is one use case and one transaction: it loads what a rule
// of package restoration needs, asks the rule, writes what it says, and returns
// once that is committed. It decides nothing itself, save the roll-up, which is
// one query and is held against the pure sum by a test.
//
// An error that carries a [restoration.Problem] is for a person to read; any
// other is internal. When the database can't be reached the Problem says so and
// the store heals by itself once it is back.
package store

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"scumble/internal/restoration"
)

// Options for [Open].
type Options struct {
	// Now is the shop's clock, read once per transaction. Nil is time.Now.
	Now func() time.Time
	// Log receives what happens in the background. Nil discards.
	Log *slog.Logger
	// MaxConns bounds the pool. 0 is 8: a shop's office and tablets seldom ask
	// more at once, and each connection costs the server some megabytes.
	MaxConns int32
	// Tracer sees every statement, for measuring. Nil is none.
	Tracer pgx.QueryTracer
}

// Store is the shop's memory. Its methods may be called from several goroutines.
type Store struct {
	pool *pgxpool.Pool
	now  func() time.Time
	log  *slog.Logger

	routes routeCache
	// How many rows the long lists had last, so that the next is not grown piecemeal. Were
	// the database to count them first, it would put them all down before it sends one.
	sprayKeys, workKeys, finishedKeys, shopFilms atomic.Int64
	hub                                          hub

	// background bounds the goroutines that live as long as the store.
	background context.Context
	stop       context.CancelFunc
	running    sync.WaitGroup
}

// Open makes a store on the database at url. It does not connect yet, so that a
// program may start before its database; [Store.Ready] tells. The error is about
// the url only.
func Open(ctx context.Context, url string, o Options) (*Store, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("read the database address: %w", err)
	}
	config.MaxConns = 8
	if o.MaxConns > 0 {
		config.MaxConns = o.MaxConns
	}
	// A dead server is noticed and a revived one tried again within seconds.
	config.ConnConfig.ConnectTimeout = 5 * time.Second
	config.AfterConnect = prepare
	config.ConnConfig.Tracer = o.Tracer
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, fmt.Errorf("make the pool: %w", err)
	}
	s := &Store{pool: pool, now: o.Now, log: o.Log}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	s.background, s.stop = context.WithCancel(context.Background())
	s.running.Go(s.forgetSessions)
	return s, nil
}

// Close ends what runs in the background and closes every connection, waiting
// for calls under way. Channels given by [Store.Changes] are closed.
func (s *Store) Close() {
	s.stop()
	s.running.Wait()
	s.pool.Close()
}

// prepare makes a new connection fit for work.
func prepare(ctx context.Context, conn *pgx.Conn) error {
	sendIDsAsUUIDs(conn.TypeMap())
	// A shop's rows fit in memory, where a page costs the same wherever it lies. With
	// the server's default, made for discs, the roll-up would read the whole table.
	// Nor does a query here run for long enough to be worth compiling first.
	if _, err := conn.Exec(ctx, `SET random_page_cost = 1.1; SET jit = off`); err != nil {
		return err
	}
	return workAsApp(ctx, conn)
}

// workAsApp gives up the owner's rights for those of scumble_app, which may add
// to the ledger but not change it. Who has no such role keeps the trigger alone.
func workAsApp(ctx context.Context, conn *pgx.Conn) error {
	var member bool
	err := conn.QueryRow(ctx, `SELECT EXISTS (
		SELECT FROM pg_roles WHERE rolname = 'scumble_app' AND pg_has_role(oid, 'MEMBER'))`).Scan(&member)
	if err != nil || !member {
		return err
	}
	_, err = conn.Exec(ctx, `SET ROLE scumble_app`)
	return err
}

// Ready tells whether the database can be reached and stands at the version of
// this program. Otherwise the error is a Problem of TroubleUnavailable that says
// which of the two it is.
func (s *Store) Ready(ctx context.Context) (err error) {
	defer wrap(&err, "look whether the database is ready")
	wanted, err := newestMigration()
	if err != nil {
		return err
	}
	var version int64
	var dirty bool
	err = s.pool.QueryRow(ctx, `SELECT version, dirty FROM schema_migrations`).Scan(&version, &dirty)
	switch {
	case unreachable(err) || errors.Is(err, context.Canceled):
		return err
	case dirty:
		return restoration.Problemf(restoration.TroubleUnavailable, "",
			"A change of the database's form was broken off at version %d. Restore a backup or mend it by hand.", version)
	case err != nil || version < wanted:
		return restoration.Problemf(restoration.TroubleUnavailable, "",
			"The database is not prepared for this program yet. Run “scumble migrate”.")
	case version > wanted:
		return restoration.Problemf(restoration.TroubleUnavailable, "",
			"The database was prepared by a newer program (version %d, this one knows %d). Use the newer program.", version, wanted)
	}
	return nil
}
