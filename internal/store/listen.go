package store

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

const (
	channel    = "scumble" // of LISTEN and NOTIFY
	listenWait = time.Second
	listenPing = 30 * time.Second
)

// note is what travels through Postgres about a change.
type note struct {
	Seq   int64            `json:"seq"`
	Car   int64            `json:"car"`
	Piece restoration.ID   `json:"piece,omitzero"`
	Kind  restoration.Kind `json:"kind"`
}

// Changes gives every change of the shop as it is committed, by this program or
// another. A Change with Seq 0 and no car means "look again": the first one says that
// the store has begun to listen, later ones that changes may have been missed because
// the connection was gone or the reader lagged. A reader that was cut off names the
// Mark of the last change that it got: it gets what came since, or is told to look
// again where that is not known. The channel is closed when ctx ends or the store
// closes.
func (s *Store) Changes(ctx context.Context, after string) (<-chan restoration.Change, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	s.hub.once.Do(func() { s.running.Go(s.listen) })
	reader := make(chan restoration.Change, backlog)
	s.hub.join(reader, after)
	ctx, cancel := context.WithCancel(ctx)
	forget := context.AfterFunc(s.background, cancel)
	context.AfterFunc(ctx, func() {
		forget() // else the store would keep the reader's context for as long as it lives
		s.hub.leave(reader)
	})
	return reader, nil
}

// listen keeps one connection of its own on the channel until the store closes.
func (s *Store) listen() {
	for {
		err := s.listenOnce(s.background)
		s.hub.end()
		if s.background.Err() != nil {
			return
		}
		s.log.Warn("live changes are interrupted", "err", err)
		select {
		case <-s.background.Done():
			return
		case <-time.After(listenWait):
		}
	}
}

func (s *Store) listenOnce(ctx context.Context) error {
	conn, err := pgx.ConnectConfig(ctx, s.pool.Config().ConnConfig)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, `LISTEN `+channel); err != nil {
		return err
	}
	s.hub.begin()
	for {
		if err := s.hear(ctx, conn); err != nil {
			return err
		}
	}
}

// hear passes on the next notification. When none comes for a while it asks
// whether the server is still there: a cut line is otherwise silent for ever.
func (s *Store) hear(ctx context.Context, conn *pgx.Conn) error {
	wait, cancel := context.WithTimeout(ctx, listenPing)
	defer cancel()
	n, err := conn.WaitForNotification(wait)
	if err != nil {
		if ctx.Err() == nil && errors.Is(err, context.DeadlineExceeded) {
			return ping(ctx, conn)
		}
		return err
	}
	var heard note
	if err := json.Unmarshal([]byte(n.Payload), &heard); err != nil {
		s.hub.tell(restoration.Change{})
		return nil
	}
	s.hub.tell(restoration.Change{Seq: heard.Seq, CarID: heard.Car, PieceID: heard.Piece, Kind: heard.Kind})
	return nil
}

// ping asks for a sign of life, which on a cut line would never come.
func ping(ctx context.Context, conn *pgx.Conn) error {
	soon, cancel := context.WithTimeout(ctx, listenPing)
	defer cancel()
	return conn.Ping(soon)
}

// notify tells every reader, once t commits, of a change that is no event of
// the ledger: they see it as Seq 0. carID 0 is the house as a whole.
func notify(ctx context.Context, t tx, carID int64) error {
	payload, err := json.Marshal(note{Car: carID})
	if err != nil {
		return err
	}
	_, err = t.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, string(payload))
	return err
}
