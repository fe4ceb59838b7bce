package demo

import (
	"context"
	"maps"
	"slices"

	"golang.org/x/sync/errgroup"

	"scumble/internal/restoration"
)

// desks is how many acts of a tale are entered at once. They are few, so that the ledger
// keeps the order of the tale but for neighbours that have nothing to do with each other.
const desks = 8

// play enters the acts of the tale, several at once: the database works on one while the
// rules judge another.
func (l *loader) play(ctx context.Context, address string) error {
	free := make(chan *loader, desks)
	for range desks {
		desk := *l
		if err := desk.sit(ctx, address); err != nil {
			return err
		}
		defer desk.store.Close()
		free <- &desk
	}
	var q queue
	group, ctx := errgroup.WithContext(ctx)
	for _, a := range l.tale.Acts {
		desk := <-free
		if ctx.Err() != nil {
			break
		}
		wait, end := q.join(things(a))
		group.Go(func() error {
			defer func() { close(end); free <- desk }()
			for _, earlier := range wait {
				<-earlier
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			desk.clock.set(a.At)
			return desk.act(ctx, a)
		})
	}
	return group.Wait()
}

// queue keeps the ends of acts that later ones must wait for.
type queue struct {
	alone <-chan struct{}         // of the last act that had to do with everything
	since map[any]<-chan struct{} // of the latest acts about a thing since then
}

// join gives the ends of what an act about these things must wait for, and its own, for
// it to close. No things stand for everything.
func (q *queue) join(things []any) (wait []<-chan struct{}, end chan struct{}) {
	end = make(chan struct{})
	if q.alone != nil {
		wait = append(wait, q.alone)
	}
	if len(things) == 0 {
		wait = slices.AppendSeq(wait, maps.Values(q.since))
		q.alone, q.since = end, nil
		return wait, end
	}
	if q.since == nil {
		q.since = map[any]<-chan struct{}{}
	}
	for _, t := range things {
		if earlier, ok := q.since[t]; ok {
			wait = append(wait, earlier)
		}
	}
	for _, t := range things {
		q.since[t] = end
	}
	return wait, end
}

// things lists what an act has to do with; none stands for everything.
func things(a Act) []any {
	type car int
	switch {
	case a.Kind != ActEnter, a.Event.PieceID.IsZero():
		return nil
	case a.Event.Kind == restoration.KindCorrect, a.Event.Kind == restoration.KindSettle:
		return nil // of another entry
	case a.Beside:
		return []any{a.Event.PieceID, car(a.Car)}
	}
	return []any{a.Event.PieceID}
}
