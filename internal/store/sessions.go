package store

import (
	"time"

	"github.com/alexedwards/scs/pgxstore"
	"github.com/alexedwards/scs/v2"
)

// sessionSweep is how often expired sessions are deleted.
const sessionSweep = 10 * time.Minute

// Sessions gives the place where signed-in browsers are remembered. It has the
// context-aware methods that scs prefers.
func (s *Store) Sessions() scs.Store {
	return pgxstore.NewWithCleanupInterval(s.pool, 0)
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
