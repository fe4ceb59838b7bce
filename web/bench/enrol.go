package bench

import (
	"net/http"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// A code has 40 random bits and lives for minutes; ten tries a minute are more than
// a person types and far too few to guess it.
const enrolTries = 10

// A tablet stays enrolled until the owner revokes it: browsers keep a cookie for
// 400 days at most, and each visit to the list of people renews it.
const deviceLife = 400 * 24 * time.Hour

func (b *Bench) enrolRoutes(r chi.Router) {
	r.Get("/enrol", b.handle(b.showEnrol))
	limit := web.PerMinute(enrolTries, web.Sender, b.handle(b.tooManyCodes))
	r.With(limit).Post("/enrol", b.handle(b.enrol))
}

// enrolView is the page that types the code.
type enrolView struct {
	Page    ui.PageProps
	Typed   string
	Error   string
	Revoked bool // it was enrolled once
}

func (b *Bench) enrolView(typed, fault string) enrolView {
	return enrolView{Page: ui.PageProps{Title: "Enrol this tablet", Demo: b.demo}, Typed: typed, Error: fault}
}

func (b *Bench) showEnrol(w http.ResponseWriter, r *http.Request) error {
	view := b.enrolView("", "")
	if cookie, err := r.Cookie(deviceCookie); err == nil {
		_, err := b.shop.FindDevice(r.Context(), access.HashToken(cookie.Value))
		if err == nil {
			return web.SeeOther(w, r, "/bench/people")
		}
		if p, ok := restoration.AsProblem(err); !ok || p.Trouble != restoration.TroubleNotFound {
			return err
		}
		view.Revoked = true
	}
	return web.Render(w, r, http.StatusOK, enrolPage(view))
}

func (b *Bench) enrol(w http.ResponseWriter, r *http.Request) error {
	typed := r.PostFormValue("code")
	token, hash, err := access.NewToken()
	if err != nil {
		return err
	}
	if _, err := b.shop.EnrolDevice(r.Context(), access.HashCode(typed), hash); err != nil {
		p, ok := restoration.AsProblem(err)
		if !ok || p.Trouble == restoration.TroubleUnavailable {
			return err
		}
		return web.Render(w, r, http.StatusUnprocessableEntity, enrolPage(b.enrolView(typed, p.Message)))
	}
	setDeviceCookie(w, r, token)
	return web.SeeOther(w, r, "/bench/people")
}

func (b *Bench) tooManyCodes(w http.ResponseWriter, r *http.Request) error {
	view := b.enrolView(r.PostFormValue("code"), "Too many tries. Wait a minute, then type the code again.")
	return web.Render(w, r, http.StatusTooManyRequests, enrolPage(view))
}

func setDeviceCookie(w http.ResponseWriter, r *http.Request, token string) {
	http.SetCookie(w, &http.Cookie{
		Name: deviceCookie, Value: token, Path: "/bench", MaxAge: int(deviceLife.Seconds()),
		HttpOnly: true, SameSite: http.SameSiteStrictMode,
		Secure: r.TLS != nil || r.Header.Get("X-Forwarded-Proto") == "https",
	})
}
