package store_test

import (
	"context"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// asked keeps the statements that a store sends.
type asked struct {
	mu   sync.Mutex
	list []pgx.TraceQueryStartData
}

func (a *asked) TraceQueryStart(ctx context.Context, _ *pgx.Conn, q pgx.TraceQueryStartData) context.Context {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.list = append(a.list, q)
	return ctx
}
func (*asked) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

// take gives what was sent since it was asked last.
func (a *asked) take() []pgx.TraceQueryStartData {
	a.mu.Lock()
	defer a.mu.Unlock()
	list := a.list
	a.list = nil
	return list
}

// What pages and tablets ask again and again must not read the ledger whole: it only grows.
func TestWhatIsAskedOftenReadsNoWholeLedger(t *testing.T) {
	t.Parallel()
	url, ctx := storetest.URL(t), t.Context()
	var seen asked
	clock := &handClock{now: time.Now()}
	h := house{Store: storetest.Open(t, url, store.Options{Now: clock.Now, Tracer: &seen}), clock: clock}
	p := h.onePiece(t, "26-014")
	super := storetest.Superuser(t, url)
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		`INSERT INTO shop_events (id, kind, car_id, component_id, at, arrived, payload, outcome)
			SELECT gen_random_uuid(), (ARRAY['note', 'log time', 'tick', 'start', 'coat', 'cut pass', 'move'])[1 + i % 7], p.car_id, p.id,
				now() - i * interval '1 hour', now(), '{}', 'applied'
			FROM components p, generate_series(1, 40000) AS i`,
		`ANALYZE`,
		`SET random_page_cost = 1.1`, // as the store's own connections
	} {
		_, err := super.Exec(ctx, sql)
		require.NoError(t, err)
	}
	since := clock.Now().AddDate(0, 0, -7)
	for name, ask := range map[string]func() error{
		"places":        func() error { _, err := h.PlaceUses(ctx); return err },
		"timers":        func() error { _, err := h.Timers(ctx, 1); return err },
		"ticked twice":  func() error { _, err := h.BothTicked(ctx, since); return err },
		"against waits": func() error { _, err := h.Overrides(ctx, since); return err },
		"let through":   func() error { _, err := h.FilmOverrides(ctx, since); return err },
		"defects":       func() error { _, err := h.DefectRows(ctx, since, clock.Now()); return err },
		"refused":       func() error { _, err := h.History(ctx, restoration.HistoryFilter{RefusedOpen: true}); return err },
		"time sheet":    func() error { _, err := h.TimeSheet(ctx, since, clock.Now(), 0); return err },
		"last change":   func() error { _, err := h.LastChanges(ctx, []restoration.ID{p.ID}); return err },
	} {
		seen.take()
		require.NoError(t, ask(), name)
		for _, q := range seen.take() {
			rows, err := super.Query(ctx, `EXPLAIN `+q.SQL, q.Args...)
			require.NoError(t, err, name)
			plan, err := pgx.CollectRows(rows, pgx.RowTo[string])
			require.NoError(t, err, name)
			for _, line := range plan {
				require.NotContains(t, line, "Seq Scan on shop_events", "%s: %v", name, plan)
			}
		}
	}
}
