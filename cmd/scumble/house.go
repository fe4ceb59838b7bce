package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"time"

	"scumble/internal/localdb"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// patience is how long a program that starts beside its database waits for it.
const patience = 30 * time.Second

// house finds the database that a command works on.
type house struct {
	dataDir string
	url     string // of a named database; "" is the private one
	log     *slog.Logger

	// makes tells that the command may begin a shop where there is none; others ask of
	// one, and a mistyped folder must not look like an empty shop.
	makes bool

	private *localdb.Server // running for this program; nil when it serves elsewhere
}

// dir is the data folder.
func (h *house) dir(below ...string) (string, error) {
	if h.dataDir != "" {
		return filepath.Abs(h.dataDir)
	}
	dir, err := localdb.DefaultDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(append([]string{dir}, below...)...), nil
}

// begins tells whether the private database is yet to be made.
func (h *house) begins(below ...string) bool {
	dir, err := h.dir(below...)
	return err == nil && h.url == "" && !localdb.Exists(dir)
}

// own makes a database ready for a program that serves it: the private one of the
// folder is started for it, any one is migrated.
func (h *house) own(ctx context.Context, o store.Options, below ...string) (*store.Store, error) {
	if h.url == "" {
		dir, err := h.dir(below...)
		if err != nil {
			return nil, err
		}
		if h.private, err = localdb.Start(ctx, localdb.Options{Dir: dir, Log: h.log}); err != nil {
			return nil, err
		}
		h.url = h.private.URL(localdb.Database)
	}
	if err := h.migrate(ctx); err != nil {
		return nil, errors.Join(err, h.close())
	}
	return store.Open(ctx, h.url, o)
}

// borrow opens the database for one command. On the folder of a running program it
// is that program's; otherwise the private one runs for as long as the command.
func (h *house) borrow(ctx context.Context) (*store.Store, error) {
	o := store.Options{Log: h.log, MaxConns: 2}
	if h.url != "" {
		return h.ready(ctx, o)
	}
	dir, err := h.dir()
	if err != nil {
		return nil, err
	}
	if url, ok := localdb.Running(dir); ok {
		h.url = url(localdb.Database)
		return h.ready(ctx, o)
	}
	if !h.makes && !localdb.Exists(dir) {
		return nil, fmt.Errorf("there is no shop at %s yet: begin one with “scumble serve”, or name another folder with --data-dir", dir)
	}
	return h.own(ctx, o)
}

func (h *house) ready(ctx context.Context, o store.Options) (*store.Store, error) {
	s, err := store.Open(ctx, h.url, o)
	if err != nil {
		return nil, err
	}
	if err := s.Ready(ctx); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// migrate brings the database up to date. A named database may come up a little
// later than this program does.
func (h *house) migrate(ctx context.Context) error {
	waited, done := context.WithTimeout(ctx, patience)
	defer done()
	for {
		err := store.Migrate(waited, h.url)
		problem, ok := restoration.AsProblem(err)
		if !ok || problem.Trouble != restoration.TroubleUnavailable {
			return err
		}
		h.log.Info("the database does not answer yet")
		select {
		case <-waited.Done():
			return err
		case <-time.After(time.Second):
		}
	}
}

// close stops the private Postgres, if one runs for this program.
func (h *house) close() error {
	if h.private == nil {
		return nil
	}
	return h.private.Stop()
}

// with runs act on the borrowed database.
func (h *house) with(ctx context.Context, act func(*store.Store) error) (err error) {
	s, err := h.borrow(ctx)
	if err != nil {
		return err
	}
	defer func() {
		s.Close()
		err = errors.Join(err, h.close())
	}()
	return act(s)
}
