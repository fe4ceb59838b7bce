package office

import (
	"net/http"
	"net/url"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const peoplePath = "/office/people"

func (o *Office) peopleRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/people", h(o.showPeople))
	r.Post("/people", h(o.addPerson))
	r.Get("/people/{id}", h(o.showPerson))
	r.Post("/people/{id}/name", h(o.renamePerson))
	r.Post("/people/{id}/pin", h(o.setPIN))
	r.Post("/people/{id}/password", h(o.setPassword))
	r.Post("/people/{id}/unlock", h(o.unlockPerson))
	r.Post("/people/{id}/role", h(o.changeRole))
	r.Post("/people/{id}/left", h(o.personLeft))
	r.Post("/people/{id}/back", h(o.personBack))
}

// showPeople lists who works here, with the form to add somebody.
func (o *Office) showPeople(w http.ResponseWriter, r *http.Request) error {
	return o.renderPeople(w, r, http.StatusOK, &form{values: url.Values{"role": {string(restoration.RoleTechnician)}}})
}

func (o *Office) renderPeople(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	all, err := o.shop.People(r.Context())
	if err != nil {
		return err
	}
	f.values.Del("password")
	f.values.Del("pin")
	v := visitOf(r)
	return web.Render(w, r, status, peoplePage(peopleProps{
		Page: o.page(r, ui.PageProps{Title: "People", Nav: "people",
			Lede: "Who works here. A technician signs in on a tablet with a PIN, an owner here with a password."}),
		People: personRows(all, v), Form: f,
	}))
}

func (o *Office) addPerson(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	np := parsePerson(f)
	if !f.ok() {
		return o.renderPeople(w, r, http.StatusUnprocessableEntity, f)
	}
	pinHash, err := hashIfGiven(np.PIN)
	if err != nil {
		return err
	}
	passwordHash, err := hashIfGiven(np.Password)
	if err != nil {
		return err
	}
	p, err := o.shop.AddPerson(r.Context(), visitOf(r).Actor(), np.Name, np.Role, passwordHash, pinHash)
	if err != nil {
		if err := f.take(err); err != nil {
			return err
		}
		return o.renderPeople(w, r, http.StatusUnprocessableEntity, f)
	}
	o.done(r, p.Name+" can sign in.")
	return web.SeeOther(w, r, peoplePath)
}

// newPerson is somebody to be added.
type newPerson struct {
	Name          string
	Role          restoration.Role
	PIN, Password string // "" none
}

// parsePerson reads the form to add somebody.
func parsePerson(f *form) newPerson {
	p := newPerson{
		Name: f.needed("name", "Type the name as it should stand on the tablet."),
		Role: oneOf(f, "role", []restoration.Role{restoration.RoleTechnician, restoration.RoleOwner}),
		PIN:  f.get("pin"), Password: f.get("password"),
	}
	if p.PIN != "" || p.Role == restoration.RoleTechnician {
		f.refuse("pin", access.CheckPIN(p.PIN))
	}
	if p.Role == restoration.RoleTechnician {
		p.Password = ""
		return p
	}
	f.refuse("password", access.CheckPassword(p.Password))
	return p
}

func hashIfGiven(secret string) (string, error) {
	if secret == "" {
		return "", nil
	}
	return access.HashSecret(secret)
}
