package main

import (
	"context"

	"scumble/internal/restoration"
	"scumble/internal/store"
)

type personRename struct {
	ID   int64  `arg:"" help:"Number of the person, as listed."`
	Name string `arg:"" help:"New name, as on the tile."`
}

// Run gives a person another name.
func (c *personRename) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error { return s.RenamePerson(ctx, restoration.Actor{}, c.ID, c.Name) })
}

type personRole struct {
	ID   int64  `arg:"" help:"Number of the person, as listed."`
	Role string `arg:"" enum:"technician,owner" help:"technician or owner. The password or PIN that it needs is read from the standard input unless the person has one."`
}

// Run makes a person an owner or a technician.
func (c *personRole) Run(ctx context.Context, h *house, io streams) error {
	return h.with(ctx, func(s *store.Store) error {
		p, err := s.FindPerson(ctx, c.ID)
		if err != nil {
			return err
		}
		role, password, pin := restoration.Role(c.Role), "", ""
		switch {
		case role == restoration.RoleOwner && !p.HasPassword:
			password, err = readSecret(io, role)
		case role == restoration.RoleTechnician && !p.HasPIN:
			pin, err = readSecret(io, role)
		}
		if err != nil {
			return err
		}
		return s.ChangeRole(ctx, restoration.Actor{}, c.ID, role, password, pin)
	})
}

type personLeft struct {
	ID int64 `arg:"" help:"Number of the person, as listed."`
}

// Run notes that a person has left.
func (c *personLeft) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error { return s.PersonLeft(ctx, restoration.Actor{}, c.ID) })
}

type personBack struct {
	ID int64 `arg:"" help:"Number of the person, as listed."`
}

// Run takes back a person who has left.
func (c *personBack) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error { return s.PersonBack(ctx, restoration.Actor{}, c.ID) })
}
