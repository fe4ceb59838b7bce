package web

import (
	"net"
	"net/http"
	"time"

	"github.com/go-chi/httprate"
)

// PerMinute lets so many requests of one key through within a minute; tooMany answers
// the others.
func PerMinute(tries int, key httprate.KeyFunc, tooMany http.HandlerFunc) func(http.Handler) http.Handler {
	return httprate.LimitBy(tries, time.Minute, key, httprate.WithLimitHandler(tooMany))
}

// Sender is the key of a request by the address that it came from: of an IPv6 address
// the network, since a sender has all of it. Behind a proxy it is the proxy's for all.
func Sender(r *http.Request) (string, error) {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	return httprate.CanonicalizeIP(host), nil
}
