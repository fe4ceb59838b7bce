package restoration

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"scumble/internal/instrument"
)

// ReadingsAs says what an instrument's export doesn't of its readings.
type ReadingsAs struct {
	At         time.Time
	Dated      bool // a person said the hour; else it tells no reading from another
	PersonID   int64
	Baseline   bool        // films are from before the first clear coat
	UnderClear bool        // colours are of the ground under clear
	Spent      map[ID]bool // ids of readings that were struck out or refused: the same reading may come again
}

// ReadingsFrom turns the rows of an export into entries: the films of one spot of a
// piece make one reading, each colour and gloss one of its own. Pieces are of one car
// or several; a row finds its piece by label code or title, or is of the only piece
// where it names none. An entry's id follows from its piece, spot, kind, hour and
// values, whatever the layout of the file, so that a reading that comes twice is kept
// once. Rows that find none are faults that name their line, and
// nothing of them is entered; whether the rest is, the caller decides.
func ReadingsFrom(rows []instrument.Row, pieces []Piece, as ReadingsAs) ([]Event, []instrument.Fault) {
	in := intake{as: as, names: pieceNames(pieces), films: map[spotKey]int{}}
	if len(pieces) == 1 {
		in.only = &pieces[0]
	}
	for _, row := range rows {
		in.take(row)
	}
	in.identify()
	return in.events, in.faults
}

// intake gathers the entries of an export.
type intake struct {
	as     ReadingsAs
	names  map[string][]*Piece
	only   *Piece
	films  map[spotKey]int // index of the entry that gathers a spot's films
	events []Event
	faults []instrument.Fault
}

type spotKey struct {
	piece ID
	spot  string
}

// pieceNames finds pieces by label, title and plain name, folded. A name that stands
// for several pieces lists them all.
func pieceNames(pieces []Piece) map[string][]*Piece {
	names := map[string][]*Piece{}
	for i := range pieces {
		p := &pieces[i]
		for _, name := range slices.Compact([]string{folded(p.Title()), folded(p.Name)}) {
			names[name] = append(names[name], p)
		}
		if p.Label != "" {
			names[folded(p.Label)] = append(names[folded(p.Label)], p)
		}
	}
	return names
}

func folded(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

func (in *intake) take(row instrument.Row) {
	p, fault := in.find(row)
	if fault == nil && utf8.RuneCountInString(row.Spot) > MaxPlace {
		fault = &instrument.Fault{What: fmt.Sprintf("the name of the spot is longer than %d characters", MaxPlace), Do: "Shorten it."}
	}
	if fault != nil {
		fault.Line = row.Line
		in.faults = append(in.faults, *fault)
		return
	}
	if um := row.Values.FilmUM; um != nil {
		in.film(p, row.Spot, *um)
	}
	if g := row.Values.Gloss; g != nil {
		in.enter(p, Reading{Kind: ReadGloss, Spot: row.Spot, Gloss: g})
	}
	if lab := row.Values.Lab; lab != nil {
		in.enter(p, Reading{Kind: ReadColour, Spot: row.Spot, Lab: lab, UnderClear: in.as.UnderClear})
	}
}

// find finds the piece that a row names.
func (in *intake) find(row instrument.Row) (*Piece, *instrument.Fault) {
	if row.Piece == "" && in.only != nil {
		return in.only, nil
	}
	found := in.names[folded(row.Piece)]
	if code, err := CheckLabel(row.Piece); err == nil && len(found) == 0 {
		found = in.names[folded(code)]
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return nil, &instrument.Fault{What: fmt.Sprintf("no piece is called %.40q", row.Piece),
			Do: "Write the label code of the piece, or its name as in the list."}
	}
	return nil, &instrument.Fault{What: fmt.Sprintf("%d pieces are called %.40q", len(found), row.Piece),
		Do: "Write the label code of the piece, or its name with its side, such as " + strconv.Quote(found[0].Title()) + "."}
}

// film adds a film to the reading of its spot, or begins it.
func (in *intake) film(p *Piece, spot string, um float64) {
	key := spotKey{p.ID, folded(spot)}
	i, ok := in.films[key]
	if !ok {
		i = len(in.events)
		in.films[key] = i
		in.enter(p, Reading{Kind: ReadFilm, Spot: spot, Baseline: in.as.Baseline})
	}
	r := in.events[i].Reading
	r.FilmUM = append(r.FilmUM, um)
}

func (in *intake) enter(p *Piece, r Reading) {
	in.events = append(in.events, Event{
		Kind: KindReading, CarID: p.CarID, PieceID: p.ID, PersonID: in.as.PersonID,
		At: in.as.At, Arrived: in.as.At, Payload: Payload{Reading: &r},
	})
}

// identify gives the entries their ids, and the batch its own, which follows from them
// in whatever order they came.
func (in *intake) identify() {
	seen := map[ID]int{}
	var all []string
	for i := range in.events {
		e := &in.events[i]
		id := e.PieceID.Derive(in.nameOf(*e.Reading))
		n := seen[id]
		seen[id]++
		if n > 0 {
			id = id.Derive("one more " + strconv.Itoa(n))
		}
		for in.as.Spent[id] {
			id = id.Derive("again")
		}
		e.ID = id
		all = append(all, id.String())
	}
	slices.Sort(all)
	batch := ID{}.Derive("readings " + strings.Join(all, " "))
	for i := range in.events {
		in.events[i].Batch = batch
	}
}

// nameOf tells a reading of a piece from another.
func (in *intake) nameOf(r Reading) string {
	name := fmt.Sprint("reading ", r.Kind, " ", strconv.Quote(folded(r.Spot)), r.Baseline, r.UnderClear, slices.Sorted(slices.Values(r.FilmUM)))
	if in.as.Dated {
		name += " " + in.as.At.UTC().Format(time.RFC3339)
	}
	if r.Gloss != nil {
		name += fmt.Sprint(" gloss ", *r.Gloss)
	}
	if r.Lab != nil {
		name += fmt.Sprint(" Lab ", *r.Lab)
	}
	return name
}
