package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"time"

	"scumble/internal/demo"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

type demoCommand struct {
	listenFlags
	Fresh bool   `help:"Begin the demo afresh: what was changed in it is lost."`
	Units string `help:"The units in which a demo that begins measures: ${enum}." enum:"metric,us" default:"metric"`
}

// Run serves an invented shop until ctx ends. Its private data folder is one of its
// own, so that it never touches a real shop.
func (c *demoCommand) Run(ctx context.Context, h *house, io streams, log *slog.Logger) (err error) {
	story := demo.NewStory(time.Now(), restoration.Units(c.Units))
	if h.begins("demo") {
		story.Begin() // while the database is made
	}
	s, err := h.own(ctx, store.Options{Log: log}, "demo")
	if err != nil {
		return err
	}
	defer func() {
		s.Close()
		err = errors.Join(err, h.close())
	}()
	log.Info("the demo's shop is made ready")
	if err := demo.Ensure(ctx, h.url, c.Fresh, story); err != nil {
		return err
	}
	code, err := demo.NewCode(ctx, s, time.Now())
	if err != nil {
		return err
	}
	ready := func(base string) { welcome(io.out, base, code) }
	return c.serve(ctx, rooms{store: s, log: log, demo: true, onReady: ready}, h.private, io.out)
}

// welcome says where to look and how to sign in.
func welcome(w io.Writer, base, code string) {
	fmt.Fprintln(w, "An invented shop, to look around in. Nothing in it is real, and everything may be changed.")
	for _, p := range demo.Cast() {
		if p.Role == restoration.RoleOwner {
			fmt.Fprintf(w, "  office    %s/office    name %q, password %q\n", base, p.Name, p.Password)
		}
	}
	fmt.Fprintf(w, "  bench     %s/bench     enrol the tablet once with the code %s, then:\n", base, code)
	for _, p := range demo.Cast() {
		if p.PIN != "" {
			fmt.Fprintf(w, "            %s, PIN %s\n", p.Name, p.PIN)
		}
	}
	fmt.Fprintf(w, "  customer  %s/p/%s\n", base, demo.Link)
	fmt.Fprintf(w, "  gallery   %s/gallery\n", base)
}
