package trimlist

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"scumble/internal/restoration"
)

// WritePieces writes a trim list that [ParsePieces] reads.
func WritePieces(w io.Writer, pieces []restoration.NewPiece) error {
	out := NewWriter(w)
	out.Write(pieceSheet().columns...)
	for _, p := range pieces {
		out.Write(p.Name, string(p.Zone), string(p.Side), p.Place, number(p.AreaM2), string(p.Size), string(p.Mounting),
			p.Set, p.Route, number(float64(p.Grade)), restoration.FormatFaults(p.Faults), p.LiesAt, p.Note)
	}
	return out.Flush()
}

// WriteCars writes a list of cars that [ParseCars] reads.
func WriteCars(w io.Writer, cars []restoration.Car) error {
	out := NewWriter(w)
	out.Write(carSheet().columns...)
	for _, c := range cars {
		out.Write(c.WorkOrder, c.Name, c.Body, c.Customer, c.Contact, day(c.ArrivedOn), day(c.PromisedOn), money(c.RateCents),
			string(c.Quality), c.Ground, c.Grain, c.Scheme, c.Note)
	}
	return out.Flush()
}

// number writes 0 as a blank.
func number(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func money(cents int64) string {
	if cents == 0 {
		return ""
	}
	return fmt.Sprintf("%d.%02d", cents/100, cents%100)
}

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}
