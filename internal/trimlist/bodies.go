package trimlist

import (
	"embed"
	"fmt"
	"slices"

	"scumble/internal/restoration"
)

// Body is the trim list of a body style, with which a new car starts.
type Body struct {
	Key    string // "saloon"
	Name   string
	Pieces []restoration.NewPiece
}

// The lists are of our own making: usual steel trim of closed and open cars of the
// thirties and forties, of no one make. Their areas are estimates, from memory; a
// shop measures its own.
//
//go:embed bodies/*.csv
var bodyFiles embed.FS

// Bodies gives the lists that ship, each time afresh.
func Bodies() []Body {
	bodies := []Body{
		{Key: "saloon", Name: "Saloon"},
		{Key: "coupe", Name: "Coupé"},
		{Key: "drophead", Name: "Drophead"},
		{Key: "estate", Name: "Estate"},
	}
	for i := range bodies {
		bodies[i].Pieces = bodyPieces(bodies[i].Key)
	}
	return bodies
}

// FindBody gives the list of a key; false where there is none.
func FindBody(key string) (Body, bool) {
	bodies := Bodies()
	i := slices.IndexFunc(bodies, func(b Body) bool { return b.Key == key })
	if i < 0 {
		return Body{}, false
	}
	return bodies[i], true
}

// bodyPieces panics on a list that can't be read: it is part of the program.
func bodyPieces(key string) []restoration.NewPiece {
	f, err := bodyFiles.Open("bodies/" + key + ".csv")
	if err != nil {
		panic(fmt.Sprintf("body list %s: %v", key, err))
	}
	defer f.Close()
	list, err := ParsePieces(f, Known{})
	if err != nil || !list.OK() {
		panic(fmt.Sprintf("body list %s: %v %v", key, err, list.Report()))
	}
	return list.Pieces
}
