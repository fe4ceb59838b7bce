package main

import (
	"context"
	"fmt"
	"math"
	"time"
)

const (
	batchesRounds = 31
	batchesLimit  = 50 * time.Millisecond
)

// measureBatches times the page of what can be sprayed together, now and within three
// days, signed in and over HTTP. Its limit is a time, since nothing else does the same
// work; so it is the least of the rounds: the others hold what else the machine did.
func measureBatches(ctx context.Context, s *site) ([]figure, error) {
	a, err := s.bigApp(ctx)
	if err != nil {
		return nil, err
	}
	owner, err := a.signInOwner(ctx)
	if err != nil {
		return nil, err
	}
	var table []figure
	for _, c := range []struct{ name, address string }{
		{"now", "/office/batches"}, {"within 3 days", "/office/batches?hours=72"},
	} {
		f, err := batchesPage(ctx, owner, c.address)
		if err != nil {
			return nil, err
		}
		f.Name = fmt.Sprintf("the batches page of %d cars, %s", s.cars, c.name)
		table = append(table, f)
	}
	return table, nil
}

func batchesPage(ctx context.Context, owner *visitor, address string) (figure, error) {
	var page answer
	least := time.Duration(math.MaxInt64)
	for range batchesRounds {
		began := time.Now()
		var err error
		if page, err = owner.receive(ctx, address); err != nil {
			return figure{}, err
		}
		least = min(least, time.Since(began))
	}
	text, err := page.text()
	return figure{Limit: "≤ " + short(batchesLimit), Measured: short(least), Held: least <= batchesLimit,
		Detail: fmt.Sprintf("to its last byte, %.0f kB of HTML in %.0f kB of gzip; least of %d", kB(len(text)), kB(page.size), batchesRounds)}, err
}
