// Package web is what every audience's room needs to speak HTTP: the adapter from
// error-returning handlers to answers, the headers that guard every page, and
// rendering into a buffer before a byte is sent. It holds no page and no rule; the
// rooms office, bench and progress stand below it, and know neither one another
// nor the store.
package web

import (
	"context"
	"encoding/json"
	"log/slog"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"scumble/internal/restoration"
)

// HandlerFunc is a handler that may fail. A *restoration.Problem becomes a sentence
// for a person (or problem+json for a script); any other error is logged whole and
// shown as one plain sentence.
type HandlerFunc func(w http.ResponseWriter, r *http.Request) error

// ErrorPage draws an error for a person, in the look of the room that it serves.
type ErrorPage func(status int, message string) templ.Component

// Adapter turns HandlerFuncs into http.Handlers for one room.
type Adapter struct {
	Log  *slog.Logger
	Page ErrorPage
	// Again draws a form that can't be saved because the database is away: it holds
	// everything that was typed, ready to be sent again. Nil leaves forms to Page.
	Again func(r *http.Request) templ.Component
}

// Handle adapts h.
func (a Adapter) Handle(h HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			a.Fail(w, r, err)
		}
	}
}

// Fail answers a request with err.
func (a Adapter) Fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() == context.Canceled {
		return // nobody is there to read the answer
	}
	status, message := Status(err)
	if status == http.StatusInternalServerError {
		a.Log.ErrorContext(r.Context(), "request failed", "method", r.Method, "path", r.URL.Path, "err", err)
	}
	if status == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", "5")
	}
	if WantsJSON(r) {
		WriteProblem(w, status, message)
		return
	}
	page := a.Page(status, message)
	if status == http.StatusServiceUnavailable && r.Method == http.MethodPost && a.Again != nil {
		page = a.Again(r)
	}
	if err := Render(w, r, status, page); err != nil {
		a.Log.ErrorContext(r.Context(), "error page failed", "path", r.URL.Path, "err", err)
	}
}

// Status maps an error to an HTTP status and the sentence that may be shown.
func Status(err error) (int, string) {
	p, ok := restoration.AsProblem(err)
	if !ok {
		return http.StatusInternalServerError,
			"Something went wrong on the server. Nothing was saved; try again, and tell the owner if it happens twice."
	}
	switch p.Trouble {
	case restoration.TroubleInvalid:
		return http.StatusUnprocessableEntity, p.Message
	case restoration.TroubleNotFound:
		return http.StatusNotFound, p.Message
	case restoration.TroubleConflict:
		return http.StatusConflict, p.Message
	case restoration.TroubleForbidden:
		return http.StatusForbidden, p.Message
	case restoration.TroubleUnavailable:
		return http.StatusServiceUnavailable, p.Message
	}
	return http.StatusInternalServerError, p.Message
}

// WantsJSON tells whether a script asks: it sends or accepts JSON.
func WantsJSON(r *http.Request) bool {
	accept := r.Header.Get("Accept")
	return strings.Contains(accept, "application/json") || strings.Contains(accept, "application/problem+json") ||
		strings.HasPrefix(r.Header.Get("Content-Type"), "application/json") && !strings.Contains(accept, "text/html")
}

// WriteProblem answers with problem details (RFC 9457).
func WriteProblem(w http.ResponseWriter, status int, detail string) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	// The status is sent: a write that fails now has nobody left to be told.
	_ = json.NewEncoder(w).Encode(map[string]any{
		"type": "about:blank", "title": http.StatusText(status), "status": status, "detail": detail,
	})
}

// Render draws the page into a buffer first, so that a page that fails half-way is
// an error and not half a page.
func Render(w http.ResponseWriter, r *http.Request, status int, page templ.Component) error {
	buf := templ.GetBuffer()
	defer templ.ReleaseBuffer(buf)
	if err := page.Render(r.Context(), buf); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, err := w.Write(buf.Bytes())
	return err
}

// SeeOther answers a form that was taken with 303 to where its result stands.
func SeeOther(w http.ResponseWriter, r *http.Request, to string) error {
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
