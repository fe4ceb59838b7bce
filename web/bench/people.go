package bench

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// pinTries a minute are more than a gloved hand needs; the lock after
// restoration.MaxMisses is what guards a PIN.
const pinTries = 10

func (b *Bench) peopleRoutes(r chi.Router) {
	r.Get("/people", b.handle(b.showPeople))
	r.Get("/pin/{person}", b.handle(b.showPIN))
	limit := web.PerMinute(pinTries, deviceAndPerson, b.handle(b.tooManyPINs))
	r.With(limit).Post("/pin/{person}", b.handle(b.signIn))
	r.Post("/signout", b.handle(b.signOut))
}

func deviceAndPerson(r *http.Request) (string, error) {
	return fmt.Sprintf("%d:%s", visitOf(r).device.ID, chi.URLParam(r, "person")), nil
}

// peopleView is "who are you".
type peopleView struct {
	Page   ui.PageProps
	People []personTile
}

type personTile struct {
	Name, Href string
	Locked     bool
}

func buildPeople(page ui.PageProps, people []restoration.Person) peopleView {
	view := peopleView{Page: page}
	for _, p := range people {
		view.People = append(view.People, personTile{
			Name: p.Name, Href: "/bench/pin/" + strconv.FormatInt(p.ID, 10), Locked: !p.LockedAt.IsZero(),
		})
	}
	return view
}

func (b *Bench) showPeople(w http.ResponseWriter, r *http.Request) error {
	people, err := b.shop.BenchPeople(r.Context(), visitOf(r).device.ID)
	if err != nil {
		return err
	}
	if cookie, err := r.Cookie(deviceCookie); err == nil {
		setDeviceCookie(w, r, cookie.Value)
	}
	return web.Render(w, r, http.StatusOK, peoplePage(buildPeople(b.frame(r, "Who are you?"), people)))
}

// pinView is the large pad.
type pinView struct {
	Page   ui.PageProps
	Action string
	Error  string
	Locked bool // the right PIN doesn't open either
}

func (b *Bench) pinView(r *http.Request, p restoration.Person, fault string) pinView {
	page := b.frame(r, p.Name)
	page.Back, page.BackWord = "/bench/people", "Other name"
	view := pinView{Page: page, Action: "/bench/pin/" + strconv.FormatInt(p.ID, 10), Error: fault}
	if err := access.CheckMayEnter(p); err != nil {
		view.Locked, view.Error = true, err.Error()
	}
	return view
}

func (b *Bench) findPINPerson(r *http.Request) (restoration.Person, error) {
	id, err := strconv.ParseInt(chi.URLParam(r, "person"), 10, 64)
	if err != nil {
		return restoration.Person{}, restoration.Problemf(restoration.TroubleNotFound, "", "There is nobody of that number. Go back and touch your name.")
	}
	p, err := b.shop.FindPerson(r.Context(), id)
	if err == nil && !p.HasPIN {
		err = restoration.Problemf(restoration.TroubleForbidden, "", "%s has no PIN yet. The owner gives one on the page People.", p.Name)
	}
	return p, err
}

func (b *Bench) showPIN(w http.ResponseWriter, r *http.Request) error {
	p, err := b.findPINPerson(r)
	if err != nil {
		return err
	}
	return web.Render(w, r, http.StatusOK, pinPage(b.pinView(r, p, "")))
}

// signIn puts the person in the place of whoever was signed in before.
func (b *Bench) signIn(w http.ResponseWriter, r *http.Request) error {
	p, err := b.findPINPerson(r)
	if err != nil {
		return err
	}
	if access.CheckMayEnter(p) != nil {
		return web.Render(w, r, http.StatusForbidden, pinPage(b.pinView(r, p, "")))
	}
	hash, err := b.shop.PINHash(r.Context(), p.ID)
	if err != nil {
		return err
	}
	right, err := access.CheckSecret(hash, strings.TrimSpace(r.PostFormValue("pin")))
	if err != nil {
		return err
	}
	if !right {
		return b.missed(w, r, p)
	}
	return b.welcome(w, r, p)
}

func (b *Bench) missed(w http.ResponseWriter, r *http.Request, p restoration.Person) error {
	p, err := b.shop.RecordMiss(r.Context(), p.ID)
	if err != nil {
		return err
	}
	return web.Render(w, r, http.StatusUnprocessableEntity, pinPage(b.pinView(r, p, triesLeft(p.Misses))))
}

// triesLeft says what a wrong PIN means.
func triesLeft(misses int) string {
	switch left := restoration.MaxMisses - misses; left {
	case 1:
		return "Wrong PIN. One try left; then only the owner can unlock you."
	default:
		return fmt.Sprintf("Wrong PIN. %d tries left.", max(left, 0))
	}
}

func (b *Bench) welcome(w http.ResponseWriter, r *http.Request, p restoration.Person) error {
	device := visitOf(r).device
	if err := b.shop.RecordSignIn(r.Context(), p.ID, device.ID); err != nil {
		return err
	}
	if err := b.sessions.Clear(r.Context()); err != nil {
		return err
	}
	if err := b.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	b.sessions.Put(r.Context(), keyPerson, p.ID)
	b.sessions.Put(r.Context(), keyDevice, device.ID)
	return web.SeeOther(w, r, "/bench")
}

func (b *Bench) tooManyPINs(w http.ResponseWriter, r *http.Request) error {
	p, err := b.findPINPerson(r)
	if err != nil {
		return err
	}
	return web.Render(w, r, http.StatusTooManyRequests, pinPage(b.pinView(r, p, "Too many tries. Wait a minute, then try again.")))
}

func (b *Bench) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := b.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	return web.SeeOther(w, r, "/bench/people")
}
