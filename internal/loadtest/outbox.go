package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"scumble/internal/restoration"
)

const (
	outboxEntries = 500
	outboxPost    = 200 // entries at once, as outbox.js sends them
	outboxRounds  = 5
	outboxTime    = 5 * time.Second
)

// measureOutbox takes how long the program needs for what a tablet has kept for a day
// without network.
func measureOutbox(ctx context.Context, s *site) ([]figure, error) {
	tablet, err := s.bigTablet(ctx)
	if err != nil {
		return nil, err
	}
	drain, err := drainOutbox(ctx, tablet)
	return []figure{drain}, err
}

// drainOutbox sends an outbox of notes in posts one after another. Its limit is a time,
// so that it is the least of the rounds: the others hold what else the machine did.
func drainOutbox(ctx context.Context, tablet *visitor) (figure, error) {
	list, err := tablet.get(ctx, "/bench")
	if err != nil {
		return figure{}, err
	}
	piece := strings.TrimPrefix(string(pieceLink.Find(list)), "/bench/pieces/")
	least := time.Duration(math.MaxInt64)
	for range outboxRounds {
		began := time.Now()
		for sent := 0; sent < outboxEntries; sent += outboxPost {
			if err := tablet.sendNotes(ctx, piece, min(outboxPost, outboxEntries-sent)); err != nil {
				return figure{}, err
			}
		}
		least = min(least, time.Since(began))
	}
	return figure{Name: fmt.Sprintf("an outbox of %d entries", outboxEntries), Limit: "≤ " + short(outboxTime), Measured: short(least), Held: least <= outboxTime,
		Detail: fmt.Sprintf("in posts of %d, one after another; least of %d", outboxPost, outboxRounds)}, nil
}

// sendNotes posts n notes on a piece at once; each must be applied.
func (v *visitor) sendNotes(ctx context.Context, piece string, n int) error {
	var notes []map[string]any
	for i := range n {
		notes = append(notes, map[string]any{"id": newID(), "kind": restoration.KindNote, "piece": piece,
			"at": time.Now().UTC().Format(time.RFC3339Nano), "note": fmt.Sprintf("load test %d", i)})
	}
	body, err := json.Marshal(notes)
	if err != nil {
		return err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+"/bench/events", bytes.NewReader(body))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	answer, err := v.do(r)
	if err != nil {
		return err
	}
	if got := bytes.Count(answer, []byte(`"outcome":"`+string(restoration.Applied)+`"`)); got != n {
		return fmt.Errorf("%d of %d notes were applied: %.300s", got, n, answer)
	}
	return nil
}
