package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/httputil"
	"path"
	"regexp"
	"strings"
)

const paintLimit = 60_000 // bytes

var (
	sheetOrScript = regexp.MustCompile(`<(?:link rel="stylesheet" href|script src)="([^"]+)"`)
	fontInSheet   = regexp.MustCompile(`url\(["']?([^"')]+latin-wght[^"')]+\.woff2)`)
	pieceLink     = regexp.MustCompile(`/bench/pieces/[0-9a-f-]{36}`)
)

// measurePaint counts what a tablet fetches to show a page for the first time: the
// page, its style sheets and its scripts, compressed, with the headers of the answers.
// The typeface is told apart: text shows without it.
func measurePaint(ctx context.Context, s *site) ([]figure, error) {
	tablet, err := s.bigTablet(ctx)
	if err != nil {
		return nil, err
	}
	var table []figure
	list, err := tablet.get(ctx, "/bench?car=26-001")
	if err != nil {
		return nil, err
	}
	piece := pieceLink.Find(list)
	for _, page := range []struct{ name, address string }{
		{"the list of one car", "/bench?car=26-001"},
		{fmt.Sprintf("the list of %d cars", s.cars), "/bench"},
		{"a piece", string(piece)},
	} {
		f, err := paint(ctx, tablet, page.address)
		if err != nil {
			return nil, err
		}
		f.Name = "first paint at the bench: " + page.name
		table = append(table, f)
	}
	return table, nil
}

func paint(ctx context.Context, v *visitor, address string) (figure, error) {
	page, size, err := v.fetch(ctx, address)
	if err != nil {
		return figure{}, err
	}
	parts := []string{fmt.Sprintf("html %.1f", kB(size))}
	total, font := size, 0
	for _, found := range sheetOrScript.FindAllStringSubmatch(page, -1) {
		body, size, err := v.fetch(ctx, html.UnescapeString(found[1]))
		if err != nil {
			return figure{}, err
		}
		total += size
		name, _, _ := strings.Cut(found[1][strings.LastIndex(found[1], "/")+1:], "?")
		parts = append(parts, fmt.Sprintf("%s %.1f", name, kB(size)))
		for _, url := range fontInSheet.FindAllStringSubmatch(body, -1) {
			if _, font, err = v.fetch(ctx, path.Join("/static/css", url[1])); err != nil {
				return figure{}, err
			}
		}
	}
	return figure{Limit: "≤ 60 kB", Measured: fmt.Sprintf("%.1f kB", kB(total)), Held: total <= paintLimit,
		Detail: strings.Join(parts, ", ") + fmt.Sprintf("; typeface apart: %.1f", kB(font))}, nil
}

func kB(bytes int) float64 { return float64(bytes) / 1000 }

// answer is what came over the wire.
type answer struct {
	body []byte
	gzip bool
	size int // bytes, headers included
}

// receive asks as a browser does and gives what comes, to the last byte.
func (v *visitor) receive(ctx context.Context, address string) (answer, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+address, nil)
	if err != nil {
		return answer{}, err
	}
	r.Header.Set("Accept-Encoding", "gzip")
	resp, err := v.client.Do(r)
	if err != nil {
		return answer{}, err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return answer{}, fmt.Errorf("GET %s: %s", address, resp.Status)
	}
	head, err := httputil.DumpResponse(resp, false)
	if err != nil {
		return answer{}, err
	}
	body, err := io.ReadAll(resp.Body)
	return answer{body: body, gzip: resp.Header.Get("Content-Encoding") == "gzip", size: len(head) + len(body)}, err
}

// text unpacks the body.
func (a answer) text() (string, error) {
	if !a.gzip {
		return string(a.body), nil
	}
	zr, err := gzip.NewReader(bytes.NewReader(a.body))
	if err != nil {
		return "", err
	}
	text, err := io.ReadAll(zr)
	return string(text), err
}

// fetch gives a body as text and the bytes that it took on the wire.
func (v *visitor) fetch(ctx context.Context, address string) (string, int, error) {
	a, err := v.receive(ctx, address)
	if err != nil {
		return "", 0, err
	}
	text, err := a.text()
	return text, a.size, err
}
