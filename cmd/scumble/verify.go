package main

import (
	"context"
	"fmt"

	"scumble/internal/store"
)

type verifyCommand struct{}

// Run prints every difference between the ledger and its projection; any is an error.
func (verifyCommand) Run(ctx context.Context, h *house, io streams) error {
	return h.with(ctx, func(s *store.Store) error {
		differences, err := s.Verify(ctx)
		if err != nil {
			return err
		}
		for _, d := range differences {
			fmt.Fprintln(io.out, d)
		}
		if n := len(differences); n > 0 {
			return fmt.Errorf("%d differences between the ledger and what is shown", n)
		}
		fmt.Fprintln(io.out, "The ledger and what is shown agree.")
		return nil
	})
}
