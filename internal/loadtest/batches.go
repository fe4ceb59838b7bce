package main

import (
	"context"
	"fmt"
	"time"
)

const (
	batchesRounds = 31
	batchesLimit  = 50 * time.Millisecond
)

// measureBatches times the page of what can be sprayed together, now and within three
// days, signed in and over HTTP. Its limit is a time, since nothing else does the same.
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
		var page answer
		times, err := interleave(batchesRounds, func() (err error) {
			page, err = owner.receive(ctx, c.address)
			return err
		})
		if err != nil {
			return nil, err
		}
		text, err := page.text()
		if err != nil {
			return nil, err
		}
		table = append(table, figure{Name: "the batches page, " + c.name, Limit: "≤ " + short(batchesLimit), Measured: short(times[0]),
			Held: times[0] <= batchesLimit, Detail: fmt.Sprintf("%d cars, to its last byte, %.0f kB of HTML; median of %d", s.cars, kB(len(text)), batchesRounds)})
	}
	return table, nil
}
