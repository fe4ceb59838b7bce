package office

import (
	"bytes"
	"net/http"
	"strconv"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// piecesTable gives a car's trim list as a table that an import takes again.
func (o *Office) piecesTable(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return err
	}
	list := make([]restoration.NewPiece, len(pieces))
	keys := map[int64]string{}
	for i, p := range pieces {
		if keys[p.RouteID] == "" {
			route, err := o.shop.FindRoute(r.Context(), p.RouteID)
			if err != nil {
				return err
			}
			keys[p.RouteID] = route.Key
		}
		list[i] = restoration.NewPiece{Details: p.Details, Route: keys[p.RouteID], LiesAt: p.LiesAt}
	}
	var table bytes.Buffer
	if err := trimlist.WritePieces(&table, list); err != nil {
		return err
	}
	return sendTable(w, "pieces-"+car.WorkOrder, table.Bytes())
}

// hoursTable gives the roll-up of the shop as a table, a line a car.
func (o *Office) hoursTable(w http.ResponseWriter, r *http.Request) error {
	roll, err := o.shop.Roll(r.Context(), true)
	if err != nil {
		return err
	}
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write("work_order", "car", "state", "pieces", "planned_h", "logged_h", "left_h", "workable_h", "waiting_h", "held_h",
		"rework_left_h", "percent_done")
	for _, c := range roll.Cars {
		out.Write(hoursLine(c.Car.WorkOrder, c.Car.Name, string(c.Car.State), c.Roll)...)
	}
	out.Write(hoursLine("", "shop", "", roll.Total)...)
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "hours", table.Bytes())
}

func hoursLine(workOrder, car, state string, r restoration.Roll) []string {
	line := []string{workOrder, car, state, strconv.Itoa(r.Pieces)}
	for _, m := range []restoration.Minutes{r.Planned, r.Logged, r.Left, r.Workable, r.Waiting, r.Held, r.ReworkLeft} {
		line = append(line, strconv.FormatFloat(m.Hours(), 'f', 2, 64))
	}
	return append(line, strconv.FormatFloat(r.PercentDone(), 'f', 1, 64))
}

// sendTable answers with a file that a spreadsheet opens; the mark in front tells it
// that the text is UTF-8.
func sendTable(w http.ResponseWriter, name string, table []byte) error {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`.csv"`)
	_, err := w.Write(append([]byte(trimlist.BOM), table...))
	return err
}
