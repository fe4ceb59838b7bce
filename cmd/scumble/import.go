package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/trimlist"
)

type importCommand struct {
	Pieces importPieces `cmd:"" help:"Add the pieces of a trim list to a car."`
	Cars   importCars   `cmd:"" help:"Take in cars."`
}

type importPieces struct {
	Car  string `required:"" placeholder:"WORK-ORDER" help:"Work order of the car."`
	File string `arg:"" help:"CSV file; - is the standard input."`
}

// Run adds every piece of the file, or none and says what is wrong with it.
func (c *importPieces) Run(ctx context.Context, h *house, io streams) error {
	file, err := open(c.File, io)
	if err != nil {
		return err
	}
	defer file.Close()
	h.makes = true
	return h.with(ctx, func(s *store.Store) error {
		car, err := s.FindCar(ctx, c.Car)
		if err != nil {
			return err
		}
		known, err := knownPieces(ctx, s, car.ID)
		if err != nil {
			return err
		}
		list, err := trimlist.ParsePieces(file, known)
		if err != nil {
			return fmt.Errorf("reading %s: %w", c.File, err)
		}
		if err := report(&list.Table, io); err != nil {
			return err
		}
		if _, err := s.AddPieces(ctx, restoration.Actor{}, car.ID, list.Pieces); err != nil {
			return err
		}
		fmt.Fprintf(io.out, "%s %s: %d pieces added.\n", car.WorkOrder, car.Name, len(list.Pieces))
		return nil
	})
}

// knownPieces is what a list for the car may refer to, and what it must not repeat.
func knownPieces(ctx context.Context, s *store.Store, carID int64) (known trimlist.Known, err error) {
	routes, err := s.Routes(ctx)
	if err != nil {
		return known, err
	}
	for _, r := range routes {
		known.Routes = append(known.Routes, r.Key, r.Name)
	}
	pieces, err := s.CarPieces(ctx, carID)
	for _, p := range pieces {
		known.Pieces = append(known.Pieces, p.Details)
	}
	return known, err
}

type importCars struct {
	File string `arg:"" help:"CSV file; - is the standard input."`
}

// Run takes in every car of the file, or none and says what is wrong with it.
func (c *importCars) Run(ctx context.Context, h *house, io streams) error {
	file, err := open(c.File, io)
	if err != nil {
		return err
	}
	defer file.Close()
	h.makes = true
	return h.with(ctx, func(s *store.Store) error {
		known, err := knownCars(ctx, s)
		if err != nil {
			return err
		}
		list, err := trimlist.ParseCars(file, known)
		if err != nil {
			return fmt.Errorf("reading %s: %w", c.File, err)
		}
		if err := report(&list.Table, io); err != nil {
			return err
		}
		taken, err := s.ImportCars(ctx, restoration.Actor{}, list.Cars)
		if err != nil {
			return err
		}
		for _, car := range taken {
			fmt.Fprintf(io.out, "%s %s taken in.\n", car.WorkOrder, car.Name)
		}
		return nil
	})
}

func knownCars(ctx context.Context, s *store.Store) (known trimlist.Known, err error) {
	cars, err := s.ListCars(ctx)
	known.Cars = cars
	return known, err
}

// open opens a file that was named on the command line.
func open(name string, in streams) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(in.in), nil
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("the file can't be opened: %w", err)
	}
	return file, nil
}

// report says which columns are ignored and everything that is wrong; the error
// tells that the file can't be taken.
func report(t *trimlist.Table, io streams) error {
	for _, name := range t.Ignored {
		fmt.Fprintf(io.err, "column %s is not known and is ignored\n", name)
	}
	if t.OK() {
		return nil
	}
	for _, line := range t.Report() {
		fmt.Fprintln(io.err, line)
	}
	return fmt.Errorf("nothing was written: %d faults in the file", len(t.Faults)+t.Unlisted)
}
