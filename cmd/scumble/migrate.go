package main

import (
	"context"
	"fmt"

	"scumble/internal/store"
)

type migrateCommand struct{}

// Run migrates the named database, or the private one.
func (migrateCommand) Run(ctx context.Context, h *house, io streams) error {
	if h.url != "" {
		if err := h.migrate(ctx); err != nil {
			return err
		}
		fmt.Fprintln(io.out, "The database is up to date.")
		return nil
	}
	h.makes = true // borrowing the private one migrates it
	return h.with(ctx, func(*store.Store) error {
		fmt.Fprintln(io.out, "The database is up to date.")
		return nil
	})
}
