package web

import (
	"context"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Alive answers that the program runs, whatever the database does.
func Alive(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, _ = w.Write([]byte("alive\n")) // whoever asks has hung up: nothing to do
}

// readyWithin bounds how long the database may take to say that it is there.
const readyWithin = 3 * time.Second

// Readiness answers 200 while ready gives nil, else 503 and the sentence why.
func Readiness(ready func(context.Context) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		ctx, done := context.WithTimeout(r.Context(), readyWithin)
		defer done()
		if err := ready(ctx); err != nil {
			_, message := Status(err)
			WriteProblem(w, http.StatusServiceUnavailable, message)
			return
		}
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		_, _ = w.Write([]byte("ready\n"))
	}
}

// Recover turns a panic into a logged 500, so that one page that fails does not end
// the program.
func Recover(log *slog.Logger) func(http.Handler) http.Handler {
	return func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			defer func() {
				switch p := recover(); p {
				case nil:
				case http.ErrAbortHandler:
					panic(p)
				default:
					log.ErrorContext(r.Context(), "handler panicked", "path", r.URL.Path, "panic", p, "stack", string(debug.Stack()))
					WriteProblem(w, http.StatusInternalServerError, "Something went wrong on the server.")
				}
			}()
			next.ServeHTTP(w, r)
		})
	}
}

// Metrics counts requests for Prometheus, by route pattern and never by address, so
// that no token ends in a label.
type Metrics struct {
	registry *prometheus.Registry
	duration *prometheus.HistogramVec
}

// NewMetrics makes a registry of its own with the process's and Go's figures.
func NewMetrics() *Metrics {
	m := &Metrics{
		registry: prometheus.NewRegistry(),
		duration: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "scumble_http_request_duration_seconds",
			Help: "Time to answer a request, by route, method and status.",
		}, []string{"route", "method", "status"}),
	}
	m.registry.MustRegister(m.duration, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Handler answers with the figures in the Prometheus text format.
func (m *Metrics) Handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{})
}

// Count measures every request below it. A live stream counts when it ends.
func (m *Metrics) Count(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		defer func() {
			route := "none"
			if c := chi.RouteContext(r.Context()); c != nil && c.RoutePattern() != "" {
				route = c.RoutePattern()
			}
			status := ww.Status()
			if status == 0 {
				status = http.StatusOK
			}
			m.duration.WithLabelValues(route, knownMethod(r.Method), strconv.Itoa(status)).Observe(time.Since(began).Seconds())
		}()
		next.ServeHTTP(ww, r)
	})
}

// knownMethod keeps invented methods from filling the registry.
func knownMethod(method string) string {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost:
		return method
	}
	return "other"
}
