package office

import (
	"context"
	"encoding/gob"
	"net/http"
	"net/url"
	"time"

	"github.com/a-h/templ"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// Keys of the owner's session.
const (
	sessionPerson = "office.person" // id of who signed in
	sessionNotice = "office.notice" // what the next page says
)

const signInPath = "/office/signin"

func init() { gob.Register(ui.Notice{}) } // the session store keeps notices by gob

// visit is what every page behind the sign-in knows.
type visit struct {
	Person   restoration.Person
	Settings restoration.Settings
	Loc      *time.Location
	Now      time.Time
}

// Actor is who changes something on this visit.
func (v visit) Actor() restoration.Actor { return restoration.Actor{PersonID: v.Person.ID} }

type visitKey struct{}

// visitOf gives the visit that requireOwner put into the request.
func visitOf(r *http.Request) visit {
	v, _ := r.Context().Value(visitKey{}).(visit)
	return v
}

// requireOwner lets a request through only with an owner's session, and sends
// everybody else to sign in, and back to where they wanted to be.
func (o *Office) requireOwner(next http.Handler) http.Handler {
	return o.adapter.Handle(func(w http.ResponseWriter, r *http.Request) error {
		v, in, err := o.visit(r)
		if err != nil {
			return err
		}
		if !in {
			return askToSignIn(w, r)
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), visitKey{}, v)))
		return nil
	})
}

// visit reads who is signed in; false when nobody is, or no longer may be.
func (o *Office) visit(r *http.Request) (visit, bool, error) {
	id := o.sessions.GetInt64(r.Context(), sessionPerson)
	if id == 0 {
		return visit{}, false, nil
	}
	person, err := o.shop.FindPerson(r.Context(), id)
	if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleNotFound {
		return visit{}, false, nil
	}
	if err != nil {
		return visit{}, false, err
	}
	if person.Role != restoration.RoleOwner || !person.LeftAt.IsZero() {
		return visit{}, false, nil
	}
	settings, err := o.shop.Settings(r.Context())
	if err != nil {
		return visit{}, false, err
	}
	return visit{Person: person, Settings: settings, Loc: settings.Location(), Now: o.now()}, true, nil
}

// askToSignIn sends a person to the sign-in page. A script that refetches part of a
// page, or listens, gets 401: the page it stands on stays as it is. A form comes
// back with everything typed.
func askToSignIn(w http.ResponseWriter, r *http.Request) error {
	if isFragment(r) || web.WantsJSON(r) || r.Header.Get("Accept") == "text/event-stream" {
		web.WriteProblem(w, http.StatusUnauthorized, "Your sign-in has ended. Sign in again; nothing typed is lost in this window.")
		return nil
	}
	if r.Method == http.MethodPost {
		return web.Render(w, r, http.StatusUnauthorized, signedOutPage(r))
	}
	to := signInPath
	if r.URL.Path != "/office" {
		to += "?" + url.Values{"next": {r.URL.RequestURI()}}.Encode()
	}
	return web.SeeOther(w, r, to)
}

// isFragment tells whether htmx refetches part of the page.
func isFragment(r *http.Request) bool { return r.Header.Get("HX-Request") == "true" }

// say leaves a notice for the next page that the person sees.
func (o *Office) say(r *http.Request, n ui.Notice) {
	o.sessions.Put(r.Context(), sessionNotice, n)
}

// done is say for what went well.
func (o *Office) done(r *http.Request, text string) {
	o.say(r, ui.Notice{Kind: ui.NoticeDone, Text: text})
}

// page fills in what every page has around it. The caller sets title and body.
// A refetch never takes the notice: it belongs to the page that a person opens.
func (o *Office) page(r *http.Request, p ui.PageProps) ui.PageProps {
	v := visitOf(r)
	p.ShopName, p.Person, p.Demo, p.Live = v.Settings.ShopName, v.Person.Name, o.demo, true
	if p.Flash == nil && !isFragment(r) {
		if n, ok := o.sessions.Pop(r.Context(), sessionNotice).(ui.Notice); ok {
			p.Flash = &n
		}
	}
	return p
}

// errorPage shows an error in the office's look, without anything that needs the shop.
func errorPage(status int, message string) templ.Component {
	title := "That didn't work"
	switch status {
	case http.StatusNotFound:
		title = "Not here"
	case http.StatusServiceUnavailable:
		title = "The shop's records can't be reached"
	}
	return sorryPage(ui.PageProps{Title: title, Flash: &ui.Notice{Kind: ui.NoticeError, Text: message}})
}

// units are the measures in which the shop types and reads.
func (v visit) units() units { return unitsOf(v.Settings.Units) }

// volume writes an amount of paint in the shop's unit.
func (v visit) volume(ml float64) string { return restoration.VolumeWords(ml, v.Settings.Units) }

// us tells whether the shop shows areas in square feet.
func (v visit) us() bool { return v.Settings.Units == restoration.US }
