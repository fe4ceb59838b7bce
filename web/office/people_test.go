package office

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

func TestParsePerson(t *testing.T) {
	t.Parallel()
	good := url.Values{"name": {"Tom Reed"}, "role": {"technician"}, "pin": {"8305"}}
	for name, c := range map[string]struct {
		change map[string]string
		field  string // at which something is wrong; "" nothing is
	}{
		"a technician":               {nil, ""},
		"no name":                    {map[string]string{"name": "  "}, "name"},
		"a technician without PIN":   {map[string]string{"pin": ""}, "pin"},
		"a PIN of letters":           {map[string]string{"pin": "abcd"}, "pin"},
		"a PIN that counts":          {map[string]string{"pin": "1234"}, "pin"},
		"no role":                    {map[string]string{"role": ""}, "role"},
		"a role that is none":        {map[string]string{"role": "king"}, "role"},
		"an owner":                   {map[string]string{"role": "owner", "password": ownerPassword, "pin": ""}, ""},
		"an owner with a PIN too":    {map[string]string{"role": "owner", "password": ownerPassword}, ""},
		"an owner without password":  {map[string]string{"role": "owner"}, "password"},
		"an owner with a weak PIN":   {map[string]string{"role": "owner", "password": ownerPassword, "pin": "0000"}, "pin"},
		"a technician's password":    {map[string]string{"password": "x"}, ""}, // isn't taken, so isn't looked at
		"a name longer than a label": {map[string]string{"name": "A very long name indeed that goes on and on and on beyond sixty"}, "name"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: url.Values{}}
			for k, v := range good {
				f.values[k] = v
			}
			for k, v := range c.change {
				f.values.Set(k, v)
			}
			p := parsePerson(f)
			if c.field == "" {
				require.True(t, f.ok(), "%v", f.faults)
				require.Equal(t, p.Role == restoration.RoleOwner, p.Password != "")
				return
			}
			require.NotEmpty(t, f.error(c.field), "%v", f.faults)
		})
	}
}

func TestPeople(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	a := b.post("/office/people", url.Values{"name": {"Tom <b>Reed</b>"}, "role": {"technician"}, "pin": {"8305"}})
	require.Equal(t, peoplePath, a.to, a.body)
	page := b.get(peoplePath)
	require.Contains(t, page.text(), "Tom <b>Reed</b> can sign in.")
	require.NotContains(t, page.body, "<b>Reed", "a name is no markup")

	a = b.post("/office/people", url.Values{"name": {"tom <b>reed</b>"}, "role": {"technician"}, "pin": {"8306"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.text(), "Somebody of that name works here already")
	require.Contains(t, a.text(), `value="tom <b>reed</b>"`, "what was typed stays")
	require.NotContains(t, a.body, "8306", "but no PIN")

	tom := b.person("Tom <b>Reed</b>")
	path := personPath(tom.ID)
	a = b.post(path+"/name", url.Values{"name": {"Tom Reed"}})
	require.Equal(t, path, a.to)
	require.Equal(t, "Tom Reed", b.person("Tom Reed").Name)

	a = b.post(path+"/pin", url.Values{"pin": {"1111"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `id="pin-error"`)
	before, err := b.store.PINHash(t.Context(), tom.ID)
	require.NoError(t, err)
	require.Equal(t, path, b.post(path+"/pin", url.Values{"pin": {"9174"}}).to)
	after, err := b.store.PINHash(t.Context(), tom.ID)
	require.NoError(t, err)
	require.NotEqual(t, before, after)
}

func TestUnlockAndLeave(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post("/office/people", url.Values{"name": {"Tom Reed"}, "role": {"technician"}, "pin": {"8305"}}).code)
	tom := b.person("Tom Reed")
	path := personPath(tom.ID)
	for range restoration.MaxMisses {
		_, err := b.store.RecordMiss(t.Context(), tom.ID)
		require.NoError(t, err)
	}
	require.Contains(t, b.get(peoplePath).body, "after 5 wrong tries")
	require.Equal(t, path, b.post(path+"/unlock", nil).to)
	require.True(t, b.person("Tom Reed").LockedAt.IsZero())

	a := b.post(path+"/left", nil)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Tick that Tom Reed has left.")
	require.Equal(t, path, b.post(path+"/left", url.Values{"sure": {"on"}}).to)
	require.False(t, b.person("Tom Reed").LeftAt.IsZero())
	page := b.get(path).body
	require.NotContains(t, page, "New PIN", "who has left can't be changed")
	require.Contains(t, page, "Until Sun 26 Apr 2026")
	require.Equal(t, path, b.post(path+"/back", nil).to)
	require.True(t, b.person("Tom Reed").LeftAt.IsZero())

	ada := b.person(ownerName)
	a = b.post(personPath(ada.ID)+"/left", url.Values{"sure": {"on"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "the last owner stays")
	require.True(t, b.person(ownerName).LeftAt.IsZero())
	require.Equal(t, http.StatusNotFound, b.get("/office/people/99").code)
	require.Equal(t, http.StatusNotFound, b.get("/office/people/x").code)
}

func TestChangeRole(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post("/office/people", url.Values{"name": {"Tom Reed"}, "role": {"technician"}, "pin": {"8305"}}).code)
	ada, tom := personPath(b.person(ownerName).ID), personPath(b.person("Tom Reed").ID)
	require.Contains(t, b.get(ada).body, ownerName+" is the only owner")
	a := b.post(ada+"/role", url.Values{"role": {"technician"}, "role_pin": {"9174"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, ownerName+" is the only owner")

	for name, c := range map[string]struct {
		form  url.Values
		field string
	}{
		"no password":    {url.Values{"role": {"owner"}}, "role_password"},
		"a short one":    {url.Values{"role": {"owner"}, "role_password": {"short"}}, "role_password"},
		"no role at all": {url.Values{}, "role"},
	} {
		a := b.post(tom+"/role", c.form)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, name)
		require.Contains(t, a.body, `href="#`+c.field+`"`, name)
		require.NotContains(t, a.body, `value="short"`, "no secret comes back")
	}
	require.Equal(t, tom, b.post(tom+"/role", url.Values{"role": {"owner"}, "role_password": {ownerPassword}}).to)
	require.Contains(t, b.get(tom).text(), "Tom Reed is an owner now.")
	require.NotContains(t, b.get(ada).body, "is the only owner")

	require.Equal(t, http.StatusUnprocessableEntity, b.post(ada+"/role", url.Values{"role": {"technician"}}).code, "a technician needs a PIN")
	require.Equal(t, ada, b.post(ada+"/role", url.Values{"role": {"technician"}, "role_pin": {"9174"}}).to)
	require.Equal(t, restoration.RoleTechnician, b.person(ownerName).Role)
	require.Contains(t, b.get(peoplePath).to, signInPath, "who is no owner any more is out at once")
}

// person finds somebody by name.
func (b *shopWindow) person(name string) restoration.Person {
	b.t.Helper()
	all, err := b.store.People(b.t.Context())
	require.NoError(b.t, err)
	for _, p := range all {
		if p.Name == name {
			return p
		}
	}
	b.t.Fatalf("nobody is called %q", name)
	return restoration.Person{}
}

func TestPersonRows(t *testing.T) {
	t.Parallel()
	then := houseNow.Add(-3 * time.Hour)
	all := []restoration.Person{
		{ID: 1, Name: "Zoe", HasPIN: true},
		{ID: 2, Name: "Left", LeftAt: then, LockedAt: then},
		{ID: 3, Name: "adam", Misses: 1, HasPIN: true, HasPassword: true, Role: restoration.RoleOwner},
		{ID: 4, Name: "Locked", LockedAt: then, Misses: 5},
	}
	var got []string
	for _, r := range personRows(all, visit{Now: houseNow, Loc: time.UTC}) {
		got = append(got, r.Name+": "+r.RoleWord+", "+r.Signs+", "+r.State)
	}
	require.Equal(t, []string{
		"Locked: Technician, nothing yet, locked since Fri 27 Mar 2026, 11:30 after 5 wrong tries",
		"adam: Owner, PIN and password, 1 wrong try since the last sign-in",
		"Zoe: Technician, PIN, at work",
		"Left: Technician, nothing yet, left on Fri 27 Mar 2026",
	}, got)
}

func TestTablets(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Contains(t, b.get(tabletsPath).body, "No tablet yet.")
	require.Equal(t, http.StatusUnprocessableEntity, b.post(tabletsPath, url.Values{"name": {" "}}).code)
	a := b.post(tabletsPath, url.Values{"name": {`Booth "1"<i>`}})
	require.Equal(t, http.StatusOK, a.code)
	require.Contains(t, a.text(), `Booth "1"<i>`)
	require.NotContains(t, a.body, "<i>")
	require.Regexp(t, `[0-9A-Z]{4}-[0-9A-Z]{4}`, a.body, "the code")
	require.Contains(t, a.body, "until 14:45", "15 minutes from now")
	require.Contains(t, a.body, "https://shop.example/bench/enrol")
	page := b.get(tabletsPath)
	require.NotRegexp(t, `[0-9A-Z]{4}-[0-9A-Z]{4}`, page.body, "the code is shown once")
	require.Contains(t, page.body, "has not been typed yet")

	devices, err := b.store.Devices(t.Context())
	require.NoError(t, err)
	require.Len(t, devices, 1)
	path := tabletPath(devices[0].ID)
	require.Contains(t, b.get(path).text(), "This can't be undone", "its code was never typed")
	require.Equal(t, tabletsPath, b.post(path+"/revoke", nil).to)
	require.Contains(t, b.get(tabletsPath).body, "shut out on Fri 27 Mar 2026, 14:30")
	require.Equal(t, http.StatusConflict, b.post(path+"/back", nil).code)
	require.Equal(t, http.StatusNotFound, b.post(tabletPath(99)+"/revoke", nil).code)
	require.Equal(t, http.StatusNotFound, b.get(tabletPath(99)).code)
}

func TestTabletComesBack(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	code, hash, err := access.NewCode()
	require.NoError(t, err)
	d, err := b.store.AddDevice(t.Context(), restoration.Actor{}, "Booth", hash, houseNow.Add(time.Minute))
	require.NoError(t, err)
	token := access.HashToken("a token")
	_, err = b.store.EnrolDevice(t.Context(), access.HashCode(code), token)
	require.NoError(t, err)
	path := tabletPath(d.ID)
	require.Contains(t, b.get(path).text(), "It can be undone for 30 days.")
	require.Equal(t, tabletsPath, b.post(path+"/revoke", nil).to)
	require.Contains(t, b.get(tabletsPath).body, `<a href="`+path+`">Undo</a>`)
	require.Contains(t, b.get(path).body, "Until Sun 26 Apr 2026")
	require.Equal(t, tabletsPath, b.post(path+"/back", nil).to)
	_, err = b.store.FindDevice(t.Context(), token)
	require.NoError(t, err)
}
