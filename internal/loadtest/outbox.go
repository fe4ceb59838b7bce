package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"regexp"
	"strings"
	"time"

	"scumble/internal/restoration"
)

const (
	outboxEntries = 500
	outboxPost    = 200 // entries at once, as outbox.js sends them
	outboxRounds  = 5
	outboxTime    = 5 * time.Second
	keptBytes     = 3_000_000
)

// measureOutbox takes how long the program needs for what a tablet has kept for a day
// without network, and how much room its pages take there.
func measureOutbox(ctx context.Context, s *site) ([]figure, error) {
	a, err := s.bigApp(ctx)
	if err != nil {
		return nil, err
	}
	tablets, err := a.signInBench(ctx, 1)
	if err != nil {
		return nil, err
	}
	drain, err := drainOutbox(ctx, tablets[0])
	if err != nil {
		return nil, err
	}
	room, err := roomOnTablet(ctx, tablets[0])
	return []figure{drain, room}, err
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

var workerFiles = regexp.MustCompile(`const SHELL = (\[[^\]]*\]);`)

// roomOnTablet adds up what the tablet's worker keeps: its files as they are, and the pages,
// which it packs.
func roomOnTablet(ctx context.Context, tablet *visitor) (figure, error) {
	worker, err := tablet.get(ctx, "/bench/sw.js")
	if err != nil {
		return figure{}, err
	}
	var files []string
	if found := workerFiles.FindSubmatch(worker); found == nil || json.Unmarshal(found[1], &files) != nil {
		return figure{}, fmt.Errorf("the worker names no files: %.200s", worker)
	}
	var kept struct{ Pages []struct{ Path string } }
	list, err := tablet.get(ctx, "/bench/keep")
	if err != nil {
		return figure{}, err
	}
	if err := json.Unmarshal(list, &kept); err != nil {
		return figure{}, fmt.Errorf("read %.200q: %w", list, err)
	}
	shell, pages := 0, 0
	for _, path := range files {
		body, err := tablet.get(ctx, path)
		if err != nil {
			return figure{}, err
		}
		shell += len(body)
	}
	n := 0
	for _, p := range kept.Pages {
		body, ok, err := tablet.getPage(ctx, p.Path)
		if err != nil {
			return figure{}, err
		}
		if !ok {
			continue
		}
		size, err := packed(body)
		if err != nil {
			return figure{}, err
		}
		n++
		pages += size
	}
	total := shell + pages
	return figure{Name: "what a tablet keeps", Limit: fmt.Sprintf("≤ %.0f MB", mB(keptBytes)), Measured: fmt.Sprintf("%.1f MB", mB(total)), Held: total <= keptBytes,
		Detail: fmt.Sprintf("%.0f kB of files and %d pages, %.0f kB of gzip", kB(shell), n, kB(pages))}, nil
}

// getPage gets what stands at the very address; false where it leads elsewhere.
func (v *visitor) getPage(ctx context.Context, path string) (page []byte, ok bool, err error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+path, nil)
	if err != nil {
		return nil, false, err
	}
	still := *v.client
	still.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	resp, err := still.Do(r)
	if err != nil {
		return nil, false, err
	}
	defer resp.Body.Close()
	page, err = io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode >= http.StatusBadRequest {
		err = fmt.Errorf("GET %s: %s", path, resp.Status)
	}
	return page, resp.StatusCode == http.StatusOK, err
}

// packed is how many bytes a page takes in gzip.
func packed(page []byte) (int, error) {
	var buf bytes.Buffer
	w := gzip.NewWriter(&buf)
	_, err := w.Write(page)
	if err == nil {
		err = w.Close()
	}
	return buf.Len(), err
}
