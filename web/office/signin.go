package office

import (
	"context"
	"net/http"
	"net/url"
	"strings"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// Tries a minute from one address, for all names together. A person who mistypes
// stays far below; a shop behind one address has few owners.
const triesPerMinute = 12

// notLetIn is the one answer to a wrong name, a wrong password and a locked person:
// it doesn't tell which names exist.
const notLetIn = "That name and password don't let anybody in. After 5 wrong tries in a row a person is locked: another owner unlocks them on the page People, or the command scumble person does."

// publicRoutes are the pages that need no session.
func (o *Office) publicRoutes(r chi.Router) {
	h := o.adapter.Handle
	slow := web.PerMinute(triesPerMinute, web.Sender, h(o.tooManyTries))
	r.Get("/signin", h(o.askSignIn))
	r.With(slow).Post("/signin", h(o.signIn))
	r.Post("/signout", h(o.signOut))
	r.Get("/setup", h(o.askSetup))
	r.With(slow).Post("/setup", h(o.setUp))
}

func (o *Office) tooManyTries(w http.ResponseWriter, r *http.Request) error {
	return web.Render(w, r, http.StatusTooManyRequests,
		errorPage(http.StatusTooManyRequests, "Too many tries from here within a minute. Wait a minute and try again."))
}

// askSignIn shows the sign-in page; while there is no owner, the way to set-up.
func (o *Office) askSignIn(w http.ResponseWriter, r *http.Request) error {
	exists, err := o.shop.OwnerExists(r.Context())
	if err != nil {
		return err
	}
	if !exists {
		return web.SeeOther(w, r, "/office/setup")
	}
	f := &form{values: url.Values{"next": {r.URL.Query().Get("next")}}}
	return o.showSignIn(w, r, http.StatusOK, f)
}

func (o *Office) showSignIn(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	f.values.Del("password")
	p, err := o.publicPage(r, ui.PageProps{Title: "Sign in", Tab: "Sign in"})
	if err != nil {
		return err
	}
	return web.Render(w, r, status, signInPage(p, f))
}

// publicPage is page for somebody who isn't signed in.
func (o *Office) publicPage(r *http.Request, p ui.PageProps) (ui.PageProps, error) {
	settings, err := o.shop.Settings(r.Context())
	p.ShopName, p.Demo = settings.ShopName, o.demo
	return p, err
}

func (o *Office) signIn(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	person, ok, err := o.checkLogin(r.Context(), f.line("name"), f.get("password"))
	if err != nil {
		return err
	}
	if !ok {
		f.fault("name", "%s", notLetIn)
		return o.showSignIn(w, r, http.StatusUnprocessableEntity, f)
	}
	return o.letIn(w, r, person, localPath(f.get("next")))
}

// checkLogin finds the owner of that name and password. It takes as long for a name
// that nobody has.
func (o *Office) checkLogin(ctx context.Context, name, password string) (restoration.Person, bool, error) {
	person, hash, err := o.shop.FindLogin(ctx, name)
	if p, is := restoration.AsProblem(err); is && p.Trouble == restoration.TroubleNotFound {
		person, hash, err = restoration.Person{}, "", nil
	}
	if err != nil {
		return person, false, err
	}
	right, err := access.CheckSecret(hash, password)
	switch {
	case err != nil:
		return person, false, err
	case person.ID == 0 || person.Role != restoration.RoleOwner || access.CheckMayEnter(person) != nil:
		return person, false, nil
	case !right:
		_, err = o.shop.RecordMiss(ctx, person.ID)
		return person, false, err
	}
	return person, true, nil
}

// letIn begins the session under a fresh token, so that one planted before is worth
// nothing.
func (o *Office) letIn(w http.ResponseWriter, r *http.Request, person restoration.Person, to string) error {
	if err := o.shop.RecordSignIn(r.Context(), person.ID, 0); err != nil {
		return err
	}
	if err := o.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	o.sessions.Put(r.Context(), sessionPerson, person.ID)
	return web.SeeOther(w, r, to)
}

// localPath is where a person wanted to be, if that is a page of the office.
func localPath(next string) string {
	rest, ok := strings.CutPrefix(next, "/office")
	if !ok || rest != "" && rest[0] != '/' && rest[0] != '?' || strings.Contains(rest, "\\") {
		return "/office"
	}
	if u, err := url.Parse(next); err != nil || u.Host != "" || u.Scheme != "" {
		return "/office"
	}
	return next
}

func (o *Office) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := o.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	return web.SeeOther(w, r, signInPath)
}
