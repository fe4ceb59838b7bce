package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"scumble/internal/store"
)

type exportCommand struct {
	Out string `placeholder:"FILE" help:"File to write (default: the standard output)."`
}

// Run writes the export document.
func (c *exportCommand) Run(ctx context.Context, h *house, to streams) error {
	return h.with(ctx, func(s *store.Store) error {
		return writeTo(c.Out, to.out, func(w io.Writer) error { return s.Export(ctx, w) })
	})
}

// writeTo writes to out, or to a file that stands only once it is whole.
func writeTo(name string, out io.Writer, write func(io.Writer) error) (err error) {
	if name == "" || name == "-" {
		return write(out)
	}
	file, err := os.CreateTemp(filepath.Dir(name), ".scumble-*")
	if err != nil {
		return fmt.Errorf("the file can't be written: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(file.Name()))
		}
	}()
	if err := write(file); err != nil {
		return errors.Join(err, file.Close())
	}
	if err := errors.Join(file.Sync(), file.Close()); err != nil {
		return fmt.Errorf("the file can't be written: %w", err)
	}
	return os.Rename(file.Name(), name)
}
