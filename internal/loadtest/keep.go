package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
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
		Detail: fmt.Sprintf("of the program's time, for %.0f kB in the tablet; all its pages in one answer; the worker fetches three pieces at a time and rests as long after each. Of %d pieces %d are listed", kB(pages.pieces/keptPieces), list.Pieces, list.pieces())}
	return []figure{room, asked, each}, nil
}

// toKeep is a page that a tablet keeps, with those below it.
type toKeep struct {
	Path string
	Acts []string
}

// keepList is what the program tells a tablet to keep.
type keepList struct {
	Pieces int
	Pages  []toKeep
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
func (l keepList) first(n int) (pages []toKeep) {
	for _, p := range l.Pages {
		if isPiece(p.Path) {
			n--
		}
		if !isPiece(p.Path) || n >= 0 {
			pages = append(pages, p)
		}
	}
	return pages
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

// fetchKept fetches pages as the worker does, which packs them: those of a piece at once,
// others one by one. What leads elsewhere has none.
func fetchKept(ctx context.Context, tablet *visitor, list []toKeep) (k kept, err error) {
	for _, wanted := range list {
		began := time.Now()
		fetch := tablet.getEach
		if isPiece(wanted.Path) {
			fetch = tablet.getWhole
		}
		pages, err := fetch(ctx, wanted)
		if err != nil {
			return k, err
		}
		took, size := time.Since(began), 0
		for _, page := range pages {
			n, err := packed(page)
			if err != nil {
				return k, err
			}
			size += n
		}
		k.n += len(pages)
		k.bytes += size
		if isPiece(wanted.Path) {
			k.pieces += size
			k.took += took
		}
	}
	return k, nil
}

// getWhole gets the pages of a piece in one answer.
func (v *visitor) getWhole(ctx context.Context, p toKeep) (pages [][]byte, err error) {
	body, err := v.get(ctx, strings.Replace(p.Path, "/bench", "/bench/keep", 1)+"?"+url.Values{"act": p.Acts}.Encode())
	if err != nil {
		return nil, err
	}
	var texts map[string]string
	if err := json.Unmarshal(body, &texts); err != nil {
		return nil, fmt.Errorf("read %.200q: %w", body, err)
	}
	for _, text := range texts {
		pages = append(pages, []byte(text))
	}
	return pages, nil
}

// getEach gets a page and those below it one by one.
func (v *visitor) getEach(ctx context.Context, p toKeep) (pages [][]byte, err error) {
	for _, act := range append([]string{""}, p.Acts...) {
		page, ok, err := v.getPage(ctx, p.Path+act)
		if err != nil {
			return nil, err
		}
		if ok {
			pages = append(pages, page)
		}
	}
	return pages, nil
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
