package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

type linkCommand struct {
	List   linkList   `cmd:"" help:"List a car's links."`
	Add    linkAdd    `cmd:"" help:"Make a link; its address is shown this once."`
	Change linkChange `cmd:"" help:"Change what a link shows and for how long; its address stays."`
	Revoke linkRevoke `cmd:"" help:"Revoke a link for good."`
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
		if err != nil {
			return err
		}
		t := tabwriter.NewWriter(io.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "link\tstate\topened\tshows")
		for _, l := range links {
			state := "until " + l.ExpiresAt.Format(time.DateOnly)
			if !l.RevokedAt.IsZero() {
				state = "revoked"
			}
			fmt.Fprintf(t, "%d\t%s\t%s\t%s\n", l.ID, state, opened(l.Views), shows(l))
		}
		return t.Flush()
	})
}

// shows says what a link lets be seen.
func shows(l restoration.Link) string {
	said := "stages"
	if l.ShowHours {
		said += ", hours"
	}
	if l.ShowName {
		said += ", name"
	}
	return said
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
	ends, err := endOfLink(c.Days)
	if err != nil {
		return err
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
		link := restoration.Link{CarID: car.ID, ExpiresAt: ends, ShowHours: c.ShowHours, ShowName: c.ShowName}
		if _, err := s.AddLink(ctx, restoration.Actor{}, link, hash); err != nil {
			return err
		}
		fmt.Fprintln(io.out, strings.TrimSuffix(c.Public, "/")+"/p/"+token)
		return nil
	})
}

// endOfLink is so many days from now.
func endOfLink(days int) (time.Time, error) {
	if days < 1 || days > 3650 {
		return time.Time{}, fmt.Errorf("--days must be from 1 to 3650, got %d", days)
	}
	return time.Now().AddDate(0, 0, days), nil
}

type linkChange struct {
	Car       string `required:"" placeholder:"WORK-ORDER" help:"Work order of the car."`
	ID        int64  `arg:"" help:"Number of the link, as listed."`
	Days      *int   `help:"Days from now until it expires."`
	ShowHours *bool  `negatable:"" help:"Show the hours worked and left, or no longer."`
	ShowName  *bool  `negatable:"" help:"Show the car's name in title and preview, or no longer."`
}

// Run changes what was given of a link and leaves the rest.
func (c *linkChange) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error {
		car, err := s.FindCar(ctx, c.Car)
		if err != nil {
			return err
		}
		links, err := s.Links(ctx, car.ID)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(links, func(l restoration.Link) bool { return l.ID == c.ID })
		if i < 0 {
			return fmt.Errorf("car %s has no link %d: look at “scumble link list --car %s”", c.Car, c.ID, c.Car)
		}
		link := links[i]
		if c.Days != nil {
			if link.ExpiresAt, err = endOfLink(*c.Days); err != nil {
				return err
			}
		}
		if c.ShowHours != nil {
			link.ShowHours = *c.ShowHours
		}
		if c.ShowName != nil {
			link.ShowName = *c.ShowName
		}
		return s.ChangeLink(ctx, restoration.Actor{}, link)
	})
}

type linkRevoke struct {
	ID int64 `arg:"" help:"Number of the link, as listed."`
}

// Run revokes a link.
func (c *linkRevoke) Run(ctx context.Context, h *house) error {
	return h.with(ctx, func(s *store.Store) error { return s.RevokeLink(ctx, restoration.Actor{}, c.ID) })
}
