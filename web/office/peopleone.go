package office

import (
	"net/http"
	"net/url"
	"strconv"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// showPerson shows one person with what may be changed.
func (o *Office) showPerson(w http.ResponseWriter, r *http.Request) error {
	p, err := o.personIn(r)
	if err != nil {
		return err
	}
	return o.renderPerson(w, r, http.StatusOK, p, &form{values: url.Values{"name": {p.Name}}})
}

func (o *Office) personIn(r *http.Request) (restoration.Person, error) {
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Person{}, err
	}
	return o.shop.FindPerson(r.Context(), id)
}

func (o *Office) renderPerson(w http.ResponseWriter, r *http.Request, status int, p restoration.Person, f *form) error {
	all, err := o.shop.People(r.Context())
	if err != nil {
		return err
	}
	v := visitOf(r)
	if !f.values.Has("name") {
		f.values.Set("name", p.Name)
	}
	for _, secret := range []string{"password", "pin", "role_password", "role_pin"} {
		f.values.Del(secret)
	}
	props := personProps{
		Page: o.page(r, ui.PageProps{Title: p.Name, Nav: "people", Eyebrow: roleWord(p.Role)}),
		Row:  newPersonRow(p, v), Self: p.ID == v.Person.ID, Form: f,
	}
	if refusal := p.CheckLeaving(ownersIn(all)); refusal != nil {
		props.Needed = refusal.Message
	}
	if restoration.MayUndo(p.LeftAt, v.Now) {
		props.BackUntil = ui.Day(restoration.UndoUntil(p.LeftAt), v.Loc)
	}
	return web.Render(w, r, status, personPage(props))
}

// ownersIn counts the owners who work here.
func ownersIn(all []restoration.Person) int {
	n := 0
	for _, p := range all {
		if p.Role == restoration.RoleOwner && p.LeftAt.IsZero() {
			n++
		}
	}
	return n
}

// change is one change to a person: it reads the form, does what it says, and gives
// the notice for the next page.
type change func(r *http.Request, p restoration.Person, f *form) (notice string, err error)

// changePerson reads the form and makes the change, or shows the page again with
// what is wrong.
func (o *Office) changePerson(w http.ResponseWriter, r *http.Request, make change) error {
	p, err := o.personIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	notice, err := make(r, p, f)
	if err != nil {
		if err := f.take(err); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderPerson(w, r, http.StatusUnprocessableEntity, p, f)
	}
	o.done(r, notice)
	return web.SeeOther(w, r, personPath(p.ID))
}

func (o *Office) renamePerson(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, f *form) (string, error) {
		name := f.needed("name", "Type the name as it should stand on the tablet.")
		if !f.ok() {
			return "", nil
		}
		return "The name is " + name + " now.", o.shop.RenamePerson(r.Context(), visitOf(r).Actor(), p.ID, name)
	})
}

func (o *Office) setPIN(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, f *form) (string, error) {
		pin := f.get("pin")
		if err := access.CheckPIN(pin); err != nil {
			return "", err
		}
		hash, err := access.HashSecret(pin)
		if err != nil {
			return "", err
		}
		return p.Name + " has a new PIN.", o.shop.SetPIN(r.Context(), visitOf(r).Actor(), p.ID, hash)
	})
}

func (o *Office) setPassword(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, f *form) (string, error) {
		password := f.get("password")
		if err := access.CheckPassword(password); err != nil {
			return "", err
		}
		hash, err := access.HashSecret(password)
		if err != nil {
			return "", err
		}
		return p.Name + " has a new password.", o.shop.SetPassword(r.Context(), visitOf(r).Actor(), p.ID, hash)
	})
}

func (o *Office) unlockPerson(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, f *form) (string, error) {
		return p.Name + " can sign in again.", o.shop.UnlockPerson(r.Context(), visitOf(r).Actor(), p.ID)
	})
}

// changeRole makes an owner of a technician, and the other way round. Who has the
// secret of the new role already keeps it.
func (o *Office) changeRole(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, f *form) (string, error) {
		role := oneOf(f, "role", []restoration.Role{restoration.RoleTechnician, restoration.RoleOwner})
		password, pin := "", ""
		if role == restoration.RoleOwner && !p.HasPassword {
			password = f.get("role_password")
			f.refuse("role_password", access.CheckPassword(password))
		}
		if role == restoration.RoleTechnician && !p.HasPIN {
			pin = f.get("role_pin")
			f.refuse("role_pin", access.CheckPIN(pin))
		}
		if !f.ok() {
			return "", nil
		}
		passwordHash, err := hashIfGiven(password)
		if err != nil {
			return "", err
		}
		pinHash, err := hashIfGiven(pin)
		if err != nil {
			return "", err
		}
		return p.Name + " is " + withArticle(roleWord(role)) + " now.",
			o.shop.ChangeRole(r.Context(), visitOf(r).Actor(), p.ID, role, passwordHash, pinHash)
	})
}

func withArticle(role string) string {
	if role == roleWord(restoration.RoleOwner) {
		return "an " + lowerFirst(role)
	}
	return "a " + lowerFirst(role)
}

func (o *Office) personBack(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, _ *form) (string, error) {
		return p.Name + " works here again and signs in as before.",
			o.shop.PersonBack(r.Context(), visitOf(r).Actor(), p.ID)
	})
}

func (o *Office) personLeft(w http.ResponseWriter, r *http.Request) error {
	return o.changePerson(w, r, func(r *http.Request, p restoration.Person, f *form) (string, error) {
		if !f.ticked("sure") {
			f.fault("sure", "Tick that %s has left.", p.Name)
			return "", nil
		}
		return p.Name + " can't sign in any more. What " + p.Name + " did stays in the ledger. It can be undone below for 30 days.",
			o.shop.PersonLeft(r.Context(), visitOf(r).Actor(), p.ID)
	})
}

func personPath(id int64) string { return peoplePath + "/" + strconv.FormatInt(id, 10) }
