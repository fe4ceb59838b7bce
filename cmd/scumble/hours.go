package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"

	"scumble/internal/restoration"
	"scumble/internal/store"
)

type hoursCommand struct {
	JSON bool `name:"json" help:"As JSON instead of a table."`
	All  bool `help:"Delivered cars too."`
}

// Run prints the roll-up of every car, then the shop's.
func (c *hoursCommand) Run(ctx context.Context, h *house, io streams) error {
	return h.with(ctx, func(s *store.Store) error {
		roll, err := s.Roll(ctx, c.All)
		if err != nil {
			return err
		}
		if c.JSON {
			return writeHoursJSON(io.out, roll)
		}
		return writeHoursTable(io.out, roll)
	})
}

// hoursRow is one car, or the shop, in hours.
type hoursRow struct {
	WorkOrder   string       `json:"work_order,omitempty"`
	Car         string       `json:"car,omitempty"`
	State       string       `json:"state,omitempty"`
	Pieces      int          `json:"pieces"`
	PlannedH    float64      `json:"planned_h"`
	LoggedH     float64      `json:"logged_h"`
	LeftH       float64      `json:"left_h"`
	WorkableH   float64      `json:"workable_h"`
	WaitingH    float64      `json:"waiting_h"`
	HeldH       float64      `json:"held_h"`
	ReworkLeftH float64      `json:"rework_left_h"`
	PercentDone float64      `json:"percent_done"`
	Stages      []hoursStage `json:"stages"`
}

type hoursStage struct {
	Stage    string  `json:"stage"`
	Pieces   int     `json:"pieces"` // with this stage still to do
	PlannedH float64 `json:"planned_h"`
	LoggedH  float64 `json:"logged_h"`
	LeftH    float64 `json:"left_h"`
}

func rowOf(r restoration.Roll) hoursRow {
	row := hoursRow{Pieces: r.Pieces, PlannedH: r.Planned.Hours(), LoggedH: r.Logged.Hours(), LeftH: r.Left.Hours(),
		WorkableH: r.Workable.Hours(), WaitingH: r.Waiting.Hours(), HeldH: r.Held.Hours(),
		ReworkLeftH: r.ReworkLeft.Hours(), PercentDone: r.PercentDone(), Stages: []hoursStage{}}
	for _, s := range r.Stages {
		row.Stages = append(row.Stages, hoursStage{s.Stage, s.Pieces, s.Planned.Hours(), s.Logged.Hours(), s.Left.Hours()})
	}
	return row
}

func carRow(c restoration.CarRoll) hoursRow {
	row := rowOf(c.Roll)
	row.WorkOrder, row.Car, row.State = c.Car.WorkOrder, c.Car.Name, string(c.Car.State)
	return row
}

func writeHoursJSON(w io.Writer, roll restoration.ShopRoll) error {
	doc := struct {
		Cars []hoursRow `json:"cars"`
		Shop hoursRow   `json:"shop"`
	}{Cars: []hoursRow{}, Shop: rowOf(roll.Total)}
	for _, c := range roll.Cars {
		doc.Cars = append(doc.Cars, carRow(c))
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(doc)
}

func writeHoursTable(w io.Writer, roll restoration.ShopRoll) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "work order\tcar\tpieces\tplanned h\tlogged h\tleft h\tworkable\twaiting\theld\trework left\tdone %\t")
	line := func(workOrder, car string, r restoration.Roll) {
		fmt.Fprintf(t, "%s\t%s\t%d\t%.2f\t%.2f\t%.2f\t%.2f\t%.2f\t%.2f\t%.2f\t%.1f\t\n", workOrder, car, r.Pieces, r.Planned.Hours(),
			r.Logged.Hours(), r.Left.Hours(), r.Workable.Hours(), r.Waiting.Hours(), r.Held.Hours(), r.ReworkLeft.Hours(), r.PercentDone())
	}
	for _, c := range roll.Cars {
		line(c.Car.WorkOrder, c.Car.Name, c.Roll)
	}
	line("shop", "", roll.Total)
	return t.Flush()
}
