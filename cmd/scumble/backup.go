package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"scumble/internal/store"
)

type backupCommand struct {
	File string `arg:"" help:"File to write; - is the standard output. It holds hashes of PINs and passwords: keep it safe."`
}

// Run writes the backup. The shop may go on working meanwhile. An earlier backup is
// never written over.
func (c *backupCommand) Run(ctx context.Context, h *house, s streams) error {
	if _, err := os.Stat(c.File); err == nil && c.File != "-" {
		return fmt.Errorf("%s is there already: name another file, so that no earlier backup is lost", c.File)
	}
	return h.with(ctx, func(db *store.Store) error {
		if err := writeTo(c.File, s.out, func(w io.Writer) error { return db.Backup(ctx, w) }); err != nil {
			return err
		}
		fmt.Fprintln(s.err, "The backup is written. It holds hashes of PINs and passwords: keep it safe.")
		return nil
	})
}

type restoreCommand struct {
	File string `arg:"" help:"File that backup wrote; - is the standard input."`
}

// Run restores the backup into a database that holds no cars and no people yet.
func (c *restoreCommand) Run(ctx context.Context, h *house, s streams) error {
	file, err := open(c.File, s)
	if err != nil {
		return err
	}
	defer file.Close()
	h.makes = true
	return h.with(ctx, func(*store.Store) error {
		if err := store.Restore(ctx, h.url, file); err != nil {
			return err
		}
		fmt.Fprintln(s.out, "The backup is restored. Run “scumble verify” to have it looked through.")
		return nil
	})
}
