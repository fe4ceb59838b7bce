package trimlist

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"scumble/internal/restoration"
)

// List is a trim list as it was read. Pieces holds the rows without fault, in the
// order of the file; it is empty where the header has one.
type List struct {
	Table
	Pieces []restoration.NewPiece
}

// Known is what a trim list may refer to.
type Known struct {
	Routes []string              // names and keys; where there are none the column must stay blank
	Pieces []restoration.Details // on the car already
	Cars   []restoration.Car     // in the shop already
}

// The range of a piece's visible area in m².
const (
	minAreaM2 = 0.0005
	maxAreaM2 = 5
)

// maxPieceFaults is the most faults of one piece.
const maxPieceFaults = 20

func pieceSheet() sheet {
	return sheet{
		many: "pieces",
		columns: []string{"piece", "zone", "side", "place", "area_m2", "size", "mounting", "set", "route",
			"grade", "faults", "lies_at", "note"},
		required: []string{"piece", "zone"},
	}
}

// ParsePieces reads a trim list. What is wrong with the list is in its faults; the
// error tells only that reading failed.
//
// A blank side is the middle, a blank mounting the bench. A blank size follows from
// the area and a size given wins over it; with neither the piece is medium. The
// area of both faces is taken as twice the visible one. A place that begins with
// a number gives the order within the zone, otherwise the order of the file counts.
func ParsePieces(r io.Reader, known Known) (List, error) {
	c := pieceReader{known: known, seen: make(map[pieceKey]int), count: make(map[restoration.Zone]int)}
	for _, d := range known.Pieces {
		c.seen[keyOf(d)] = onTheCar
	}
	t, pieces, err := read(r, pieceSheet(), c.piece)
	return List{Table: t, Pieces: pieces}, err
}

// pieceKey is what tells two pieces of a car apart, in lower case.
type pieceKey struct {
	name, place string
	zone        restoration.Zone
	side        restoration.Side
}

func keyOf(d restoration.Details) pieceKey {
	return pieceKey{strings.ToLower(d.Name), strings.ToLower(d.Place), d.Zone, d.Side}
}

// onTheCar stands for the line of a piece, or of a car, that the shop has already.
const onTheCar = 0

type pieceReader struct {
	known Known
	seen  map[pieceKey]int         // line
	count map[restoration.Zone]int // pieces so far
}

func (c *pieceReader) piece(l *line) restoration.NewPiece {
	var p restoration.NewPiece
	p.Name = l.name("piece")
	p.Zone = choice(l, "zone", zones(), "Write front, left, right, rear or loose.")
	p.Side = choice(l, "side", sides(), "Write left, right or centre, or leave it blank.")
	p.Place = l.short("place", maxShort)
	p.AreaM2 = l.decimal("area_m2", "area", minAreaM2, maxAreaM2, 9, areaHelp(l.decimalComma))
	p.BothM2 = 2 * p.AreaM2
	p.Size = choice(l, "size", sizes(p.AreaM2), "Write small, medium or large, or leave it blank.")
	p.Mounting = choice(l, "mounting", mountings(), "Write bench or fixed, or leave it blank for bench.")
	p.Set = l.short("set", maxShort)
	p.Route = l.oneOf("route", "route", c.known.Routes)
	p.Grade = choice(l, "grade", grades(), "Write the condition as 1 to 6, or leave it blank.")
	p.Faults = l.pieceFaults()
	p.LiesAt = l.short("lies_at", maxShort)
	p.Note = l.long("note")
	c.place(l, &p)
	return p
}

// place finds the order within the zone and a piece that was listed before.
func (c *pieceReader) place(l *line, p *restoration.NewPiece) {
	c.count[p.Zone]++
	p.Order = c.count[p.Zone]
	if n, ok := leadingNumber(p.Place); ok {
		p.Order = n
	}
	key := keyOf(p.Details)
	earlier, ok := c.seen[key]
	switch {
	case !ok || p.Name == "":
		c.seen[key] = l.row.Line
	case earlier == onTheCar:
		l.fault("piece", "the car has this piece already", "Delete the line, or tell the two apart by name, side or place.")
	default:
		l.fault("piece", fmt.Sprintf("the same piece stands on line %d already", earlier),
			"Delete one of the two, or tell them apart by name, side or place.")
	}
}

// leadingNumber reads a number of up to four digits at the start of a place.
func leadingNumber(place string) (int, bool) {
	end := strings.IndexFunc(place, func(r rune) bool { return r < '0' || r > '9' })
	if end < 0 {
		end = len(place)
	}
	if end > 4 {
		return 0, false
	}
	n, err := strconv.Atoi(place[:end])
	return n, err == nil
}

func (l *line) pieceFaults() []restoration.Fault {
	cell := l.cell("faults")
	if strings.Count(cell, ",")+strings.Count(cell, ";")+strings.Count(cell, "|") >= maxPieceFaults || len(cell) > maxNote {
		l.fault("faults", "the list of faults is too long",
			fmt.Sprintf("Name up to %d, with a count where there are several of a kind.", maxPieceFaults))
		return nil
	}
	faults, err := restoration.ParseFaults(cell)
	if err != nil {
		l.fault("faults", err.Error(), `Write faults such as "hole x2, dent", or leave it blank.`)
	}
	return faults
}

func areaHelp(decimalComma bool) string {
	if decimalComma {
		return "Write the visible area in m², such as 0.12 or 0,12."
	}
	return "Write the visible area in m², such as 0.12."
}

func zones() map[string]restoration.Zone {
	words := make(map[string]restoration.Zone)
	for _, z := range restoration.Zones() {
		words[string(z)] = z
	}
	return words
}

func sides() map[string]restoration.Side {
	return map[string]restoration.Side{
		"": restoration.SideNone, "centre": restoration.SideNone, "center": restoration.SideNone, "middle": restoration.SideNone,
		"left": restoration.SideLeft, "l": restoration.SideLeft,
		"right": restoration.SideRight, "r": restoration.SideRight,
	}
}

func sizes(areaM2 float64) map[string]restoration.Size {
	blank := restoration.SizeMedium
	if areaM2 > 0 {
		blank = restoration.SizeOf(areaM2)
	}
	return map[string]restoration.Size{
		"": blank, "small": restoration.SizeSmall, "medium": restoration.SizeMedium, "large": restoration.SizeLarge,
	}
}

func mountings() map[string]restoration.Mounting {
	return map[string]restoration.Mounting{
		"": restoration.MountBench, "bench": restoration.MountBench, "fixed": restoration.MountFixed,
	}
}

func grades() map[string]int {
	return map[string]int{"": 0, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5, "6": 6}
}
