package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"scumble/internal/access"
	"scumble/internal/localdb"
	"scumble/internal/store"
)

// drain is how long requests under way may take to end when the program stops.
const drain = 10 * time.Second

// listenFlags say where to serve.
type listenFlags struct {
	Listen string `default:"127.0.0.1:8480" placeholder:"HOST:PORT" help:"Address to serve at; port 0 takes a free one."`
	Public string `name:"public-url" placeholder:"URL" help:"Address under which customers and tablets reach the shop, for links and secure cookies."`
}

type serveCommand struct {
	listenFlags
}

// Run serves the shop until ctx ends.
func (c *serveCommand) Run(ctx context.Context, h *house, io streams, log *slog.Logger) (err error) {
	s, err := h.own(ctx, store.Options{Log: log})
	if err != nil {
		return err
	}
	defer func() {
		s.Close()
		err = errors.Join(err, h.close())
	}()
	code, err := setupCode(ctx, s)
	if err != nil {
		return err
	}
	if code != "" {
		fmt.Fprintf(io.out, "No owner yet. Open /office/setup and make the account with this one-time code: %s\n", code)
	}
	return c.serve(ctx, rooms{store: s, log: log, setupCode: code}, h.private, io.out)
}

// setupCode draws the one-time code of a first start; "" once there is an owner.
func setupCode(ctx context.Context, s *store.Store) (string, error) {
	exists, err := s.OwnerExists(ctx)
	if err != nil || exists {
		return "", err
	}
	code, _, err := access.NewCode()
	return code, err
}

// serve listens, says so, and answers until ctx ends or the private Postgres does.
func (l listenFlags) serve(ctx context.Context, o rooms, private *localdb.Server, out io.Writer) error {
	o.baseURL = l.Public
	o.secure = len(l.Public) > 8 && l.Public[:8] == "https://"
	router, live := newRouter(o)
	server := &http.Server{Handler: router, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		ErrorLog: slog.NewLogLogger(o.log.Handler(), slog.LevelWarn)}
	listener, err := net.Listen("tcp", l.Listen)
	if err != nil {
		return fmt.Errorf("can't listen at %s: %w. Name another address with --listen", l.Listen, err)
	}
	server.RegisterOnShutdown(live.HangUp)
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	if o.onReady != nil {
		o.onReady(cmp.Or(strings.TrimRight(l.Public, "/"), "http://"+listener.Addr().String()))
	}
	fmt.Fprintf(out, "listening on http://%s\n", listener.Addr())

	select {
	case err := <-failed:
		return err
	case <-ended(private):
		err = errors.New("the private Postgres has ended; start again, nothing that was saved is lost")
	case <-ctx.Done():
	}
	// ctx has ended, so what is under way gets a while of its own.
	last, done := context.WithTimeout(context.Background(), drain)
	defer done()
	return errors.Join(err, server.Shutdown(last))
}

// ended is closed when the private Postgres ends; nil, and so never, without one.
func ended(private *localdb.Server) <-chan struct{} {
	if private == nil {
		return nil
	}
	return private.Done()
}
