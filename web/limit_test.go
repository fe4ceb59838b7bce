package web_test

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/web"
)

func TestPerMinute(t *testing.T) {
	t.Parallel()
	h := web.PerMinute(2, web.Sender, func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusTooManyRequests) })(
		http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	for i, c := range []struct {
		from string
		want int
	}{
		{"192.0.2.1:4001", 200}, {"192.0.2.1:4002", 200}, {"192.0.2.1:4003", 429}, {"192.0.2.2:4001", 200},
		{"[2001:db8::1]:4001", 200}, {"[2001:db8::2]:4001", 200}, {"[2001:db8::3]:4001", 429}, {"[2001:db8:0:1::1]:4001", 200},
		{"no address", 200},
	} {
		r, w := httptest.NewRequest(http.MethodPost, "/", nil), httptest.NewRecorder()
		r.RemoteAddr = c.from
		h.ServeHTTP(w, r)
		require.Equal(t, c.want, w.Code, "%d %s", i, c.from)
	}
}
