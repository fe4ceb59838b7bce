package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"
	"time"
)

const (
	keptBytes  = 3_000_000
	keptPieces = 40
	keepRounds = 15
	keepLimit  = 3.0 // it arranges the list, what can be sprayed together, and the places
)

// measureKeep takes how much room a tablet's files and the pages of forty pieces take there,
// and what it costs the program to tell a tablet what to keep, and to hand it a piece.
func measureKeep(ctx context.Context, s *site) ([]figure, error) {
	tablet, err := s.bigTablet(ctx)
	if err != nil {
		return nil, err
	}
	list, err := listToKeep(ctx, tablet)
	if err != nil {
		return nil, err
	}
	asked, err := keepAgainstList(ctx, tablet, list)
	if err != nil {
		return nil, err
	}
	shell, err := shellBytes(ctx, tablet)
	if err != nil {
		return nil, err
	}
	pages, err := fetchKept(ctx, tablet, list.first(keptPieces))
	if err != nil {
		return nil, err
	}
	total := shell + pages.bytes
	room := figure{Name: fmt.Sprintf("what a tablet keeps: files and %d pieces", keptPieces), Limit: fmt.Sprintf("≤ %.0f MB", mB(keptBytes)),
		Measured: fmt.Sprintf("%.1f MB", mB(total)), Held: total <= keptBytes,
		Detail: fmt.Sprintf("%.0f kB of files and %d pages, %.0f kB of gzip", kB(shell), pages.n, kB(pages.bytes))}
	each := figure{Name: "what one piece more costs", Measured: short(pages.took / keptPieces),
		Detail: fmt.Sprintf("of the program's time, for %.0f kB in the tablet; the worker rests as long after each page. Of %d pieces %d are listed", kB(pages.pieces/keptPieces), list.Pieces, list.pieces())}
	return []figure{room, asked, each}, nil
}

// keepList is what the program tells a tablet to keep.
type keepList struct {
	Pieces int
	Pages  []struct {
		Path string
		Acts []string
	}
}

func isPiece(path string) bool { return strings.HasPrefix(path, "/bench/pieces/") }

func (l keepList) pieces() (n int) {
	for _, p := range l.Pages {
		if isPiece(p.Path) {
			n++
		}
	}
	return n
}

// first gives all pages but those of the pieces after the first n.
func (l keepList) first(n int) (paths []string) {
	for _, p := range l.Pages {
		if isPiece(p.Path) {
			n--
		}
		if isPiece(p.Path) && n < 0 {
			continue
		}
		for _, act := range append([]string{""}, p.Acts...) {
			paths = append(paths, p.Path+act)
		}
	}
	return paths
}

func listToKeep(ctx context.Context, tablet *visitor) (list keepList, err error) {
	body, err := tablet.get(ctx, "/bench/keep")
	if err != nil {
		return list, err
	}
	if err := json.Unmarshal(body, &list); err != nil {
		return list, fmt.Errorf("read %.200q: %w", body, err)
	}
	return list, nil
}

// keepAgainstList is what a tablet asks for every five minutes against the list that it
// shows in the same shop.
func keepAgainstList(ctx context.Context, tablet *visitor, list keepList) (figure, error) {
	var wire int
	took, err := interleave(keepRounds,
		func() error {
			answer, err := tablet.receive(ctx, "/bench/keep")
			wire = answer.size
			return err
		},
		func() error { _, err := tablet.receive(ctx, "/bench"); return err })
	if err != nil {
		return figure{}, err
	}
	return atMost("what to keep : the list", took[0], took[1], keepLimit, fmt.Sprintf("%d entries, %.0f kB over the wire", len(list.Pages), kB(wire))), nil
}

var workerFiles = regexp.MustCompile(`const SHELL = (\[[^\]]*\]);`)

// shellBytes adds up the files that the tablet's worker keeps, as they are.
func shellBytes(ctx context.Context, tablet *visitor) (sum int, err error) {
	worker, err := tablet.get(ctx, "/bench/sw.js")
	if err != nil {
		return 0, err
	}
	var files []string
	if found := workerFiles.FindSubmatch(worker); found == nil || json.Unmarshal(found[1], &files) != nil {
		return 0, fmt.Errorf("the worker names no files: %.200s", worker)
	}
	for _, path := range files {
		body, err := tablet.get(ctx, path)
		if err != nil {
			return 0, err
		}
		sum += len(body)
	}
	return sum, nil
}

// kept is what was fetched to be kept.
type kept struct {
	n             int           // pages
	bytes, pieces int           // packed, of all and of the pages of pieces
	took          time.Duration // of the pages of pieces
}

// fetchKept fetches pages as the worker does, which packs them. What leads elsewhere has none.
func fetchKept(ctx context.Context, tablet *visitor, paths []string) (k kept, err error) {
	for _, path := range paths {
		began := time.Now()
		body, ok, err := tablet.getPage(ctx, path)
		if err != nil {
			return k, err
		}
		if isPiece(path) {
			k.took += time.Since(began)
		}
		if !ok {
			continue
		}
		size, err := packed(body)
		if err != nil {
			return k, err
		}
		k.n++
		k.bytes += size
		if isPiece(path) {
			k.pieces += size
		}
	}
	return k, nil
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
