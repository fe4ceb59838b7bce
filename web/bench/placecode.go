package bench

import (
	"context"
	"slices"
	"strings"

	"scumble/internal/restoration"
)

// nameCoded puts a place's name where a move gives the code on its label. What is the code
// of no place in use is a [restoration.Problem] at the field "own", unless something is
// called so.
func (b *Bench) nameCoded(ctx context.Context, in *Incoming) error {
	code, ok := placeCode(in.Place)
	if in.Kind != restoration.KindMove || !ok {
		return nil
	}
	place, err := b.shop.FindPlaceByCode(ctx, code)
	if err == nil {
		in.Place = place.Name
		return nil
	}
	if p, ok := restoration.AsProblem(err); !ok || p.Trouble != restoration.TroubleNotFound {
		return err
	}
	known, err := b.shop.Places(ctx)
	if err != nil || slices.ContainsFunc(known, func(name string) bool { return strings.EqualFold(name, in.Place) }) {
		return err
	}
	return restoration.Problemf(restoration.TroubleNotFound, "own", "There is no such place: %s is on no label in use. Choose a place, or write its name.", code)
}

// nameAll is [Bench.nameCoded] for what a tablet sends. A code of no place is left to
// stand as a name: the tablet may have kept the entry for long, and it must not be lost.
// The one form that waits for its answer is told: its fault is given.
func (b *Bench) nameAll(ctx context.Context, list []Incoming, waits bool) (fault string, err error) {
	for i := range list {
		err := b.nameCoded(ctx, &list[i])
		p, ok := restoration.AsProblem(err)
		switch {
		case err == nil:
		case !ok || p.Trouble != restoration.TroubleNotFound:
			return "", err
		case waits:
			return p.Message, nil
		}
	}
	return "", nil
}
