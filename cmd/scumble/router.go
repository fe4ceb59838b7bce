package main

import (
	"cmp"
	"context"
	"log/slog"
	"net/http"
	"time"

	"github.com/a-h/templ"
	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/static"
	"scumble/web"
	"scumble/web/bench"
	"scumble/web/office"
	"scumble/web/progress"
	"scumble/web/ui"
)

// rooms are what the router is made of.
type rooms struct {
	store     *store.Store
	log       *slog.Logger
	demo      bool
	setupCode string
	baseURL   string
	secure    bool              // cookies only over https
	onReady   func(base string) // called once requests are answered at base; nil for nothing
}

// newRouter puts the rooms of the three audiences under one roof. The live streams of
// office and bench must be hung up before the server can close.
func newRouter(o rooms) (http.Handler, *web.Live) {
	metrics := web.NewMetrics()
	r := chi.NewRouter()
	r.Use(middleware.RequestID, metrics.Count, web.Recover(o.log), web.Guard)
	r.Get("/healthz", web.Alive)
	r.Get("/readyz", web.Readiness(func(ctx context.Context) error { return o.store.Ready(ctx) }))
	r.Method(http.MethodGet, "/metrics", metrics.Handler())
	r.Mount("/static", static.Handler())

	live := web.NewLive(o.store.Changes)
	intake := photos.NewIntake()
	desk := office.New(office.Options{Shop: o.store, Log: o.log, Sessions: officeSessions(o.store, o.secure),
		Demo: o.demo, SetupCode: o.setupCode, BaseURL: o.baseURL, Live: live, Intake: intake})
	tablet := bench.New(bench.Options{Shop: o.store, Log: o.log, Sessions: bench.NewSessions(o.store.Sessions(), o.secure), Demo: o.demo, Live: live,
		Release: version(), Intake: intake})
	customer := progress.New(progress.Options{Shop: o.store, Log: o.log, Demo: o.demo})
	lost := web.Adapter{Log: o.log, Page: plainPage}
	r.NotFound(lost.Handle(func(http.ResponseWriter, *http.Request) error {
		return restoration.Problemf(restoration.TroubleNotFound, "", "There is nothing at this address. Go back and use the links.")
	}))
	r.MethodNotAllowed(wrongMethod(lost))
	r.Group(func(r chi.Router) {
		r.Use(middleware.Compress(5), http.NewCrossOriginProtection().Handler)
		r.Get("/", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/office", http.StatusSeeOther) })
		r.Route("/office", desk.Routes)
		r.Route("/bench", tablet.Routes)
		r.Route("/p", customer.Routes)
		if o.demo {
			r.Get("/gallery", showGallery)
			r.Get("/gallery/{face}", showGallery)
		}
	})
	return r, live
}

// plainPage shows an error to whoever asks for an address of no room.
func plainPage(_ int, message string) templ.Component {
	return ui.PlainPage(ui.PageProps{Title: "Not here", Flash: &ui.Notice{Kind: ui.NoticeError, Text: message}})
}

// wrongMethod answers who opens an address that only takes what was typed.
func wrongMethod(a web.Adapter) http.HandlerFunc {
	const says = "This address takes something that was typed, and can't be opened by itself. Go back a page."
	return a.Handle(func(w http.ResponseWriter, r *http.Request) error {
		if web.WantsJSON(r) {
			web.WriteProblem(w, http.StatusMethodNotAllowed, says)
			return nil
		}
		return web.Render(w, r, http.StatusMethodNotAllowed, plainPage(http.StatusMethodNotAllowed, says))
	})
}

// officeSessions keeps an owner signed in for a working week at the most, and for
// a day of doing nothing.
func officeSessions(s *store.Store, secure bool) *scs.SessionManager {
	m := scs.New()
	m.Store = s.Sessions()
	m.Lifetime = 7 * 24 * time.Hour
	m.IdleTimeout = 24 * time.Hour
	m.Cookie.Name = "office"
	m.Cookie.Path = "/office"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.Cookie.Secure = secure
	return m
}

// showGallery shows every component in every state, one page for each audience.
func showGallery(w http.ResponseWriter, r *http.Request) {
	page, ok := ui.GalleryPage(cmp.Or(chi.URLParam(r, "face"), ui.GalleryFaces()[0]))
	if !ok {
		http.NotFound(w, r)
		return
	}
	if err := web.Render(w, r, http.StatusOK, page); err != nil {
		http.Error(w, "The gallery can't be drawn: "+err.Error(), http.StatusInternalServerError)
	}
}
