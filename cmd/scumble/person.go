package main

import (
	"bufio"
	"context"
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

type personCommand struct {
	List   personList   `cmd:"" help:"List the people of the shop."`
	Add    personAdd    `cmd:"" help:"Add a technician (PIN) or an owner (password), read from the standard input."`
	Secret personSecret `cmd:"" help:"Give a person a new PIN or password, read from the standard input."`
	Unlock personUnlock `cmd:"" help:"Unlock a person after too many wrong tries."`
	Rename personRename `cmd:"" help:"Give a person another name."`
	Role   personRole   `cmd:"" help:"Make a person an owner or a technician."`
	Left   personLeft   `cmd:"" help:"Note that a person has left the shop: signing in ends at once."`
	Back   personBack   `cmd:"" help:"Take back a person who has left in the last 30 days."`
}

type personList struct{}

// Run lists everybody, those who have left too.
func (personList) Run(ctx context.Context, h *house, io streams) error {
	return h.with(ctx, func(s *store.Store) error {
		people, err := s.People(ctx)
		if err != nil {
			return err
		}
		t := tabwriter.NewWriter(io.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "person\trole\tname\tstate")
		for _, p := range people {
			state := "at work"
			switch {
			case !p.LeftAt.IsZero():
				state = "left " + p.LeftAt.Format(time.DateOnly)
			case !p.LockedAt.IsZero():
				state = "locked"
			}
			fmt.Fprintf(t, "%d\t%s\t%s\t%s\n", p.ID, p.Role, p.Name, state)
		}
		return t.Flush()
	})
}

type personAdd struct {
	Name string `arg:"" help:"Name, as on the tile."`
	Role string `enum:"technician,owner" default:"technician" help:"technician or owner."`
}

// Run adds a person with the secret on the first line of the standard input.
func (c *personAdd) Run(ctx context.Context, h *house, io streams) error {
	hash, err := readSecret(io, restoration.Role(c.Role))
	if err != nil {
		return err
	}
	h.makes = true
	return h.with(ctx, func(s *store.Store) error {
		password, pin := "", hash
		if c.Role == string(restoration.RoleOwner) {
			password, pin = hash, ""
		}
		p, err := s.AddPerson(ctx, restoration.Actor{}, c.Name, restoration.Role(c.Role), password, pin)
		if err != nil {
			return err
		}
		fmt.Fprintf(io.out, "%d\t%s\t%s\n", p.ID, p.Role, p.Name)
		return nil
	})
}

type personSecret struct {
	ID       int64 `arg:"" help:"Number of the person, as listed."`
	Password bool  `help:"A password instead of a PIN."`
}

// Run sets the PIN or password on the first line of the standard input.
func (c *personSecret) Run(ctx context.Context, h *house, io streams) error {
	role := restoration.RoleTechnician
	if c.Password {
		role = restoration.RoleOwner
	}
	hash, err := readSecret(io, role)
	if err != nil {
		return err
	}
	return h.with(ctx, func(s *store.Store) error {
		if c.Password {
			return s.SetPassword(ctx, restoration.Actor{}, c.ID, hash)
		}
		return s.SetPIN(ctx, restoration.Actor{}, c.ID, hash)
	})
}

type personUnlock struct {
	ID int64 `arg:"" help:"Number of the person, as listed."`
}

// Run unlocks a person.
func (c *personUnlock) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error { return s.UnlockPerson(ctx, restoration.Actor{}, c.ID) })
}

// readSecret reads a secret that never stands on the command line, where others
// could read it, and hashes it: an owner's is a password, a technician's a PIN.
func readSecret(io streams, role restoration.Role) (string, error) {
	line, err := bufio.NewReader(io.in).ReadString('\n')
	secret := strings.TrimRight(line, "\r\n")
	if secret == "" {
		return "", fmt.Errorf("give the secret on the standard input: %w", err)
	}
	check := access.CheckPIN
	if role == restoration.RoleOwner {
		check = access.CheckPassword
	}
	if err := check(secret); err != nil {
		return "", err
	}
	return access.HashSecret(secret)
}
