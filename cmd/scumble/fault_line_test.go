package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// cut is where a line to the program breaks while entries are on their way.
type cut int

const (
	cutNowhere cut = iota
	cutBefore      // the program hears nothing
	cutMiddle      // it hears the half
	cutAfter       // it has taken them all, and its answer is lost
	cuts
)

// line stands between browsers and a program that may be started anew elsewhere. It has
// one address, as a shop's server has.
type line struct {
	base string
	made [cuts]atomic.Int32 // how often it broke where

	mu   sync.Mutex
	to   *url.URL
	plan []cut // of the next posts of entries and photos
}

type cutKey struct{}

var errCut = errors.New("the line was cut")

func newLine(t *testing.T, to string) *line {
	t.Helper()
	l := &line{}
	l.leadTo(t, to)
	transport := &http.Transport{}
	proxy := &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			l.mu.Lock()
			defer l.mu.Unlock()
			r.SetURL(l.to)
			r.Out.Host = r.In.Host
		},
		ModifyResponse: func(res *http.Response) error {
			if where, _ := res.Request.Context().Value(cutKey{}).(cut); where != cutAfter {
				return nil
			}
			_, err := io.Copy(io.Discard, res.Body)
			return errors.Join(err, errCut)
		},
		ErrorHandler:  func(http.ResponseWriter, *http.Request, error) { panic(http.ErrAbortHandler) },
		FlushInterval: -1,
		Transport:     transport,
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { l.pass(proxy, w, r) }))
	t.Cleanup(func() {
		server.CloseClientConnections()
		server.Close()
		transport.CloseIdleConnections()
	})
	l.base = server.URL
	return l
}

// leadTo names the program's address of now.
func (l *line) leadTo(t *testing.T, base string) {
	t.Helper()
	to, err := url.Parse(base)
	require.NoError(t, err)
	l.mu.Lock()
	defer l.mu.Unlock()
	l.to = to
}

// breaks says where the next posts of entries and photos are cut.
func (l *line) breaks(plan ...cut) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.plan = plan
}

func (l *line) next() cut {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.plan) == 0 {
		return cutNowhere
	}
	where := l.plan[0]
	l.plan = l.plan[1:]
	return where
}

func (l *line) pass(on http.Handler, w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodPost || r.URL.Path != "/bench/events" && r.URL.Path != "/bench/photos" {
		on.ServeHTTP(w, r)
		return
	}
	where := l.next()
	l.made[where].Add(1)
	switch where {
	case cutBefore:
		panic(http.ErrAbortHandler)
	case cutMiddle:
		body, err := io.ReadAll(r.Body)
		if err != nil {
			panic(http.ErrAbortHandler)
		}
		r.Body = io.NopCloser(io.MultiReader(bytes.NewReader(body[:len(body)/2]), brokenReader{}))
	}
	on.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), cutKey{}, where)))
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errCut }
