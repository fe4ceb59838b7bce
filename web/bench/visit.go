package bench

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/alexedwards/scs/v2"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const (
	deviceCookie  = "scumble_tablet"
	sessionCookie = "scumble_bench"
	// sessionLife ends every session once a working day is over.
	sessionLife = 14 * time.Hour

	// personHeader tells the tablet's worker whose page it is.
	personHeader = "Scumble-Person"

	keyPerson = "person"
	keyDevice = "device"
)

// NewSessions makes the sessions of people at the bench. They have no idle time-out:
// a page left open through a long polish must still save.
func NewSessions(store scs.Store, secure bool) *scs.SessionManager {
	m := scs.New()
	m.Store = store
	m.Lifetime = sessionLife
	m.Cookie.Name = sessionCookie
	m.Cookie.Path = "/bench"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteStrictMode
	m.Cookie.Secure = secure
	return m
}

// visit is who asks, from where.
type visit struct {
	device restoration.Device
	known  restoration.Person // of the session, who need not be let through; or zero
	person restoration.Person // zero before the PIN
	pass   string             // see [passHeader]
	shop   restoration.Settings
	timers []restoration.Timer // the person's own
}

type visitKey struct{}

func visitOf(r *http.Request) visit {
	v, _ := r.Context().Value(visitKey{}).(visit)
	return v
}

func withVisit(r *http.Request, v visit) *http.Request {
	return r.WithContext(context.WithValue(r.Context(), visitKey{}, v))
}

func (v visit) actor() restoration.Actor {
	return restoration.Actor{PersonID: v.person.ID, DeviceID: v.device.ID}
}

// frame is the shell around a page for this visit.
func (b *Bench) frame(r *http.Request, title string) ui.PageProps {
	v := visitOf(r)
	p := ui.PageProps{Title: title, ShopName: v.shop.ShopName, Demo: b.demo}
	if v.person.ID != 0 {
		p.Timer = v.timerLine(b.now())
		p.Person, p.PersonID, p.Pass = v.person.Name, strconv.FormatInt(v.person.ID, 10), v.pass
	}
	return p
}

// needDevice lets an enrolled tablet pass.
func (b *Bench) needDevice(next http.Handler) http.Handler {
	return b.handle(func(w http.ResponseWriter, r *http.Request) error {
		cookie, err := r.Cookie(deviceCookie)
		if err != nil {
			return b.turnAway(w, r, "/bench/enrol", "This tablet is not enrolled. Keep what it holds; ask the owner for a code.")
		}
		found, err := b.shop.FindVisit(r.Context(), access.HashToken(cookie.Value), b.sessions.GetInt64(r.Context(), keyPerson))
		if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleNotFound {
			return b.turnAway(w, r, "/bench/enrol", "The owner has revoked this tablet. Keep what it holds; ask for a new code.")
		}
		if err != nil {
			return err
		}
		next.ServeHTTP(w, withVisit(r, visit{device: found.Device, known: found.Person, shop: found.Settings}))
		return nil
	})
}

// needPerson lets a person pass who signed in on this tablet and may still work.
func (b *Bench) needPerson(next http.Handler) http.Handler {
	return b.handle(func(w http.ResponseWriter, r *http.Request) error {
		v := visitOf(r)
		if v.known.ID == 0 || b.sessions.GetInt64(r.Context(), keyDevice) != v.device.ID {
			return b.turnAway(w, r, "/bench/people", "Nobody is signed in on this tablet. Sign in; what it holds is kept until then.")
		}
		if err := access.CheckMayEnter(v.known); err != nil {
			b.sessions.Remove(r.Context(), keyPerson)
			return b.turnAway(w, r, "/bench/people", err.Error())
		}
		v.person = v.known
		var err error
		if v.pass, err = b.givePass(r.Context(), v); err != nil {
			return err
		}
		w.Header().Set(personHeader, strconv.FormatInt(v.person.ID, 10))
		next.ServeHTTP(w, withVisit(r, v))
		return nil
	})
}

// turnAway sends a person to where the lack is mended; a script is told, and keeps
// what it wanted to send.
func (b *Bench) turnAway(w http.ResponseWriter, r *http.Request, to, why string) error {
	if web.WantsJSON(r) {
		web.WriteProblem(w, http.StatusUnauthorized, why)
		return nil
	}
	return web.SeeOther(w, r, to)
}
