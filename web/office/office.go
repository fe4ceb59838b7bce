// Package office is the owner's face of Scumble: the shop at a glance, cars, their
// pieces, and the house-keeping behind them (people, tablets, links, routes,
// settings). It turns what the shop keeps into the structs of scumble/web/ui and
// forms into calls of the shop; every rule stands in internal/restoration.
//
// Every page needs the owner's session, save sign-in and set-up. Pages work
// without JavaScript; with it, they refetch what changed when the shop changes.
// Hours are minutes inside and decimal hours on the page; instants are shown in the
// shop's zone.
package office

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"

	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/web"
)

// Options are what the office is made of.
type Options struct {
	Shop     Shop
	Log      *slog.Logger
	Sessions *scs.SessionManager // the owner's sessions; its cookie is named "office"
	Now      func() time.Time    // nil is time.Now
	Demo     bool                // says on every page that the shop is invented
	Live     *web.Live           // of the shop
	Intake   *photos.Intake      // shared with the bench, so that memory is bounded for both; nil makes one

	// SetupCode is the one-time code printed at the first start; with it the owner
	// makes the account in the browser. "" lets nobody set up.
	SetupCode string
	// BaseURL is the address under which customers reach the shop, "https://shop.example".
	// "" takes it from each request.
	BaseURL string
}

// Office serves the owner's pages.
type Office struct {
	shop     Shop
	log      *slog.Logger
	sessions *scs.SessionManager
	now      func() time.Time
	demo     bool
	setup    string
	base     string
	live     *web.Live
	intake   *photos.Intake
	adapter  web.Adapter
}

// New makes an Office. It takes o.Sessions for its own: their errors are answered in
// its look from then on.
func New(o Options) *Office {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Intake == nil {
		o.Intake = photos.NewIntake()
	}
	desk := &Office{
		shop: o.Shop, log: o.Log, sessions: o.Sessions, now: o.Now, demo: o.Demo,
		setup: o.SetupCode, base: o.BaseURL, live: o.Live, intake: o.Intake,
		adapter: web.Adapter{Log: o.Log, Page: errorPage, Again: againPage},
	}
	desk.sessions.ErrorFunc = desk.failSession
	return desk
}

// Routes registers every page of the office; r is mounted at "/office".
func (o *Office) Routes(r chi.Router) {
	r.Use(noStore, o.sessions.LoadAndSave)
	r.NotFound(o.adapter.Handle(notHere))
	o.publicRoutes(r) // sign-in and set-up
	r.Group(func(r chi.Router) {
		r.Use(o.requireOwner)
		o.workRoutes(r)
		o.houseRoutes(r)
		o.filmRoutes(r)
		o.labelRoutes(r)
		o.photoRoutes(r)
		o.timesheetRoutes(r)
	})
}

// workRoutes are the shop, its cars and their pieces.
func (o *Office) workRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/", h(o.showShop))
	r.Get("/live", h(o.live.Stream))
	r.Get("/work", h(o.showWork))
	r.Get("/search", h(o.search))
	r.Post("/settle", h(o.settle))
	r.Get("/hours.csv", h(o.hoursTable))
	r.Get("/cars/{wo}/pieces.csv", h(o.piecesTable))
	r.Get("/cars/{wo}", h(o.showCar))
	r.Get("/cars/{wo}/history", h(o.showCarHistory))
	r.Post("/cars/{wo}/entries", h(o.enterCarEvent))
	r.Get("/cars/{wo}/pieces/new", h(o.showAddPiece))
	r.Post("/cars/{wo}/pieces", h(o.addPiece))
	r.Post("/cars/{wo}/pieces/change", h(o.changePieces))
	r.Get("/pieces/{id}", h(o.showPiece))
	r.Get("/pieces/{id}/history", h(o.showPieceHistory))
	r.Get("/pieces/{id}/edit", h(o.showEditPiece))
	r.Post("/pieces/{id}/edit", h(o.editPiece))
	r.Post("/pieces/{id}/entries", h(o.enterPieceEvent))
	r.Post("/pieces/{id}/plan", h(o.overtypePlan))
}

// notHere answers an address of the office at which there is nothing.
func notHere(http.ResponseWriter, *http.Request) error {
	return restoration.Problemf(restoration.TroubleNotFound, "", "There is nothing at this address. Choose where to go below.")
}

// noStore keeps the office's pages out of every cache: a shared PC shows nothing
// by its "back" button once the owner has signed out.
func noStore(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}
