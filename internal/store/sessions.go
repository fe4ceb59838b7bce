package store

import (
	"context"
	"errors"
	"time"

	"github.com/alexedwards/scs/pgxstore"
	"github.com/alexedwards/scs/v2"
	"github.com/jackc/pgx/v5"
)

// sessionSweep is how often expired sessions are deleted.
const sessionSweep = 10 * time.Minute

// sessions is scs's own Postgres store, save that a call ends with its request, and
// that a database which can't be reached is a Problem like everywhere else.
type sessions struct {
	*pgxstore.PostgresStore
	store *Store
}

var _ scs.CtxStore = sessions{}

// Sessions gives the place where signed-in browsers are remembered.
func (s *Store) Sessions() scs.Store {
	return sessions{pgxstore.NewWithCleanupInterval(s.pool, 0), s}
}

func (s sessions) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	defer wrap(&err, "find a session")
	err = s.store.pool.QueryRow(ctx, `SELECT data FROM sessions WHERE token = $1 AND expiry > now()`, token).Scan(&data)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, false, nil
	}
	return data, err == nil, err
}

func (s sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) (err error) {
	defer wrap(&err, "keep a session")
	_, err = s.store.pool.Exec(ctx, `
		INSERT INTO sessions (token, data, expiry) VALUES ($1, $2, $3)
		ON CONFLICT (token) DO UPDATE SET data = excluded.data, expiry = excluded.expiry`, token, data, expiry)
	return err
}

func (s sessions) DeleteCtx(ctx context.Context, token string) (err error) {
	defer wrap(&err, "forget a session")
	_, err = s.store.pool.Exec(ctx, `DELETE FROM sessions WHERE token = $1`, token)
	return err
}

// forgetSessions deletes expired sessions until the store closes. The session
// library's own sweep can't be stopped without a data race.
func (s *Store) forgetSessions() {
	tick := time.NewTicker(sessionSweep)
	defer tick.Stop()
	for {
		select {
		case <-s.background.Done():
			return
		case <-tick.C:
			if _, err := s.pool.Exec(s.background, `DELETE FROM sessions WHERE expiry < now()`); err != nil {
				s.log.Debug("expired sessions stay for now", "err", err)
			}
		}
	}
}
