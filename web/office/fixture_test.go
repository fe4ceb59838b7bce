package office

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

const hour = time.Hour

// noon is the hour at which the pure tests take place: a Friday.
var noon = time.Date(2026, 3, 27, 12, 0, 0, 0, time.UTC)

// stock is the stock route as the store would number it.
func stock() restoration.Route {
	r := restoration.StockRoute()
	r.ID = 1
	return r
}

// workpiece is a piece in memory that lives through events as the store's would.
type workpiece struct {
	restoration.Piece
	last restoration.Event // that was applied
	t    *testing.T
}

// opened is a medium piece with its steps planned.
func opened(t *testing.T, name string, d restoration.Details) *workpiece {
	t.Helper()
	d.Name = name
	if d.Zone == "" {
		d.Zone = restoration.ZoneFront
	}
	d.AreaM2, d.BothM2, d.Size, d.Mounting = 0.1, 0.2, restoration.SizeMedium, restoration.MountBench
	w := &workpiece{t: t, Piece: restoration.Piece{ID: newID(), CarID: 1, RouteID: 1, Details: d, Label: "XXXXX"}}
	plan := restoration.Planned(d, restoration.QualityShow, stock(), restoration.StockSettings().Factors)
	w.does(restoration.Event{Kind: restoration.KindOpen, At: noon.AddDate(0, 0, -80), Payload: restoration.Payload{RouteID: 1, Plan: plan}})
	return w
}

// does applies an event and wants it applied.
func (w *workpiece) does(e restoration.Event) {
	w.t.Helper()
	e.ID, e.PieceID = newID(), w.ID
	if e.At.IsZero() {
		e.At = noon
	}
	e.Arrived = e.At
	next, out := restoration.Apply(restoration.CarInWork, w.Piece, stock(), e)
	require.Equal(w.t, restoration.Applied, out.Result, out.Reason)
	w.Piece, w.last = next, e
}

// ticks ticks the next n steps by person 7, the last one at the given hour.
func (w *workpiece) ticks(n int, last time.Time) {
	w.t.Helper()
	for i := range n {
		stage, _ := stock().Stage(w.Sum.NextStage)
		keys := []string{restoration.CheckScuffed}
		for _, c := range stage.Checks {
			keys = append(keys, c.Key)
		}
		w.does(restoration.Event{Kind: restoration.KindTick, StepID: w.Sum.NextStep, PersonID: 7, At: last.AddDate(0, 0, -10*(n-1-i)),
			Payload: restoration.Payload{Checks: keys}})
	}
	for i := range w.Steps {
		if w.Steps[i].DoneBy == 7 {
			w.Steps[i].DoneName = "Ida Marl"
		}
	}
}

func testView() pieceView {
	return pieceView{Car: restoration.Car{ID: 1, WorkOrder: "26-014", Name: "1936 Brennick Eight", State: restoration.CarInWork},
		Routes: map[int64]restoration.Route{1: stock()}, Now: noon, Loc: time.UTC}
}
