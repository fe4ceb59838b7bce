package office

import (
	"slices"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

var metals = []string{"steel", "zinc", "aluminium", "other"}

func sides() []restoration.Side {
	return []restoration.Side{restoration.SideNone, restoration.SideLeft, restoration.SideRight}
}

func sizes() []restoration.Size {
	return []restoration.Size{restoration.SizeSmall, restoration.SizeMedium, restoration.SizeLarge}
}

func mountings() []restoration.Mounting {
	return []restoration.Mounting{restoration.MountBench, restoration.MountFixed}
}

func mountOptions() []ui.Option {
	return []ui.Option{
		{Value: string(restoration.MountBench), Word: "comes off the car"},
		{Value: string(restoration.MountFixed), Word: "fixed in the car"},
	}
}

// routeOptions offers routes in the version that is current when one is taken.
func routeOptions(routes []restoration.Route) []ui.Option {
	var out []ui.Option
	for _, r := range routes {
		out = append(out, ui.Option{Value: r.Key, Word: r.Name})
	}
	return out
}

// routeVersionOptions offers routes in the very version that each is.
func routeVersionOptions(routes []restoration.Route) []ui.Option {
	var out []ui.Option
	for _, r := range routes {
		out = append(out, ui.Option{Value: formatID(r.ID), Word: r.Name})
	}
	return out
}

// faultWords are the faults that a survey may name, as they are typed.
func faultWords() []string {
	var out []string
	for _, k := range restoration.FaultKinds() {
		out = append(out, k.Key)
	}
	return out
}

// faultMeaning says what a fault is and the hours of its repair: "dent under 30 mm, 0.6 h".
func faultMeaning(k restoration.FaultKind, u restoration.Units) string {
	if k.Repair.Likely == 0 {
		return k.Words(u)
	}
	return k.Words(u) + ", " + ui.Hours(int(k.Repair.Likely))
}

// options makes a choice of words that are their own values; first stands for none.
func options[T ~string](first string, words []T) []ui.Option {
	out := []ui.Option{{Word: first}}
	for _, w := range words {
		out = append(out, ui.Option{Value: string(w), Word: string(w)})
	}
	return out
}

// inUse is what the pieces of a car have already, to be suggested for another.
type inUse struct{ Sets, Schemes, Places []string }

func newInUse(pieces []restoration.Piece) inUse {
	return inUse{
		Sets:    distinct(pieces, func(p restoration.Piece) string { return p.Set }),
		Schemes: distinct(pieces, func(p restoration.Piece) string { return p.Scheme }),
		Places:  distinct(pieces, func(p restoration.Piece) string { return p.LiesAt }),
	}
}

// distinct lists what the pieces have, each once, in the order of the alphabet.
func distinct(pieces []restoration.Piece, of func(restoration.Piece) string) []string {
	var out []string
	for _, p := range pieces {
		if s := of(p); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, compareWords)
	return out
}
