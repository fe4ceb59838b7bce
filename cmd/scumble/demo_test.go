package main

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/demo"
)

// requireServedAsSaid holds what a demo printed against what it serves.
func requireServedAsSaid(t *testing.T, p program) {
	t.Helper()
	said := strings.Join(p.lines, "\n")
	for _, wanted := range []string{p.base + "/office ", p.base + "/bench ", p.base + "/p/" + demo.Link, p.base + "/gallery", demo.Cast()[0].Password, demo.Cast()[1].PIN} {
		require.Contains(t, said, wanted)
	}
	for path, wanted := range map[string]int{"/healthz": http.StatusOK, "/readyz": http.StatusOK, "/gallery": http.StatusOK,
		"/p/" + demo.Link: http.StatusOK, "/p/" + demo.Link + "x": http.StatusNotFound} {
		require.Equal(t, wanted, status(t, p.base+path), path)
	}
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
