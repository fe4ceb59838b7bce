package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

type linkCommand struct {
	List   linkList   `cmd:"" help:"List a car's links."`
	Add    linkAdd    `cmd:"" help:"Make a link; its address is shown this once."`
	Revoke linkRevoke `cmd:"" help:"Revoke a link."`
}

type linkList struct {
	Car string `required:"" placeholder:"WORK-ORDER" help:"Work order of the car."`
}

// Run lists the links of a car.
func (c *linkList) Run(ctx context.Context, h *house, io streams) error {
	return h.with(ctx, func(s *store.Store) error {
		car, err := s.FindCar(ctx, c.Car)
		if err != nil {
			return err
		}
		links, err := s.Links(ctx, car.ID)
		for _, l := range links {
			state := "until " + l.ExpiresAt.Format(time.DateOnly)
			if !l.RevokedAt.IsZero() {
				state = "revoked"
			}
			fmt.Fprintf(io.out, "%d\t%s\t%s\n", l.ID, state, opened(l.Views))
		}
		return err
	})
}

// opened says how often a link was opened.
func opened(views int) string {
	switch views {
	case 0:
		return "not opened yet"
	case 1:
		return "opened once"
	}
	return fmt.Sprintf("opened %d times", views)
}

type linkAdd struct {
	Car       string `required:"" placeholder:"WORK-ORDER" help:"Work order of the car."`
	Days      int    `default:"90" help:"Days until it expires."`
	ShowHours bool   `help:"Show the hours worked and left."`
	ShowName  bool   `help:"Show the car's name in title and preview."`
	Public    string `name:"public-url" placeholder:"URL" help:"Address under which customers reach the shop, put in front of the link's path."`
}

// Run makes a link and prints its address, or its path alone.
func (c *linkAdd) Run(ctx context.Context, h *house, io streams) error {
	if c.Days < 1 || c.Days > 3650 {
		return fmt.Errorf("--days must be from 1 to 3650, got %d", c.Days)
	}
	token, hash, err := access.NewToken()
	if err != nil {
		return err
	}
	return h.with(ctx, func(s *store.Store) error {
		car, err := s.FindCar(ctx, c.Car)
		if err != nil {
			return err
		}
		link := restoration.Link{CarID: car.ID, ExpiresAt: time.Now().AddDate(0, 0, c.Days), ShowHours: c.ShowHours, ShowName: c.ShowName}
		if _, err := s.AddLink(ctx, restoration.Actor{}, link, hash); err != nil {
			return err
		}
		fmt.Fprintln(io.out, strings.TrimSuffix(c.Public, "/")+"/p/"+token)
		return nil
	})
}

type linkRevoke struct {
	ID int64 `arg:"" help:"Number of the link, as listed."`
}

// Run revokes a link.
func (c *linkRevoke) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error { return s.RevokeLink(ctx, restoration.Actor{}, c.ID) })
}
