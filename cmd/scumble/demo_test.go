package main

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/demo"
)

func TestDemoServesUntilItIsStopped(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	out, in := io.Pipe()
	ended := make(chan error, 1)
	dir := t.TempDir()
	go func() {
		err := run(ctx, []string{"demo", "--listen", "127.0.0.1:0", "--data-dir", dir}, strings.NewReader(""), in, io.Discard)
		_ = in.CloseWithError(io.EOF) // always nil
		ended <- err
	}()

	base, said := "", ""
	for lines := bufio.NewScanner(out); base == "" && lines.Scan(); {
		said += lines.Text() + "\n"
		base, _ = strings.CutPrefix(lines.Text(), "listening on ")
		if base == lines.Text() {
			base = ""
		}
	}
	require.NotEmpty(t, base, "the program ended before it listened; it said:\n%s", said)
	for _, wanted := range []string{base + "/office ", base + "/bench ", base + "/p/" + demo.Link, base + "/gallery", demo.Cast()[0].Password, demo.Cast()[1].PIN} {
		require.Contains(t, said, wanted)
	}
	for path, wanted := range map[string]int{"/healthz": http.StatusOK, "/readyz": http.StatusOK, "/gallery": http.StatusOK,
		"/p/" + demo.Link: http.StatusOK, "/p/" + demo.Link + "x": http.StatusNotFound} {
		require.Equal(t, wanted, status(t, base+path), path)
	}

	cancel()
	require.NoError(t, <-ended)
}

func status(t *testing.T, address string) int {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	require.NoError(t, err)
	resp, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	defer resp.Body.Close()
	return resp.StatusCode
}
