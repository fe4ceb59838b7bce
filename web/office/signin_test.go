package office

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func login(name, password string) url.Values {
	return url.Values{"name": {name}, "password": {password}}
}

func TestSetUp(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	require.Equal(t, "/office/setup", b.get("/office/signin").to, "nobody could sign in yet")
	require.Contains(t, b.get("/office/setup").body, "One-time code")

	good := url.Values{"code": {" 7kq4 m2xd "}, "name": {ownerName}, "password": {ownerPassword}}
	for name, c := range map[string]struct{ field, value, says string }{
		"wrong code":     {"code", "AAAA-AAAA", "That is not the code"},
		"no code":        {"code", "", "That is not the code"},
		"no name":        {"name", " ", "Type your name"},
		"short password": {"password", "short", "at least 10 characters"},
	} {
		v := url.Values{"code": good["code"], "name": good["name"], "password": good["password"]}
		v.Set(c.field, c.value)
		a := b.post("/office/setup", v)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, name)
		require.Contains(t, a.body, c.says, name)
		require.NotContains(t, a.body, ownerPassword, "a password is never sent back")
	}
	exists, err := b.store.OwnerExists(t.Context())
	require.NoError(t, err)
	require.False(t, exists)

	a := b.post("/office/setup", good)
	require.Equal(t, http.StatusSeeOther, a.code)
	require.Equal(t, http.StatusOK, b.get("/office/people").code, "signed in at once")

	require.Equal(t, http.StatusNotFound, b.get("/office/setup").code)
	require.Equal(t, http.StatusNotFound, b.post("/office/setup", good).code)
	people, err := b.store.People(t.Context())
	require.NoError(t, err)
	require.Len(t, people, 1)
}

func TestSetUpWithoutACode(t *testing.T) {
	t.Parallel()
	o := &Office{}
	require.False(t, o.isSetupCode(""))
	require.False(t, o.isSetupCode("anything"))
}

func TestSignIn(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	b.addOwner()
	wrong := b.post("/office/signin", login(ownerName, "not the password"))
	require.Equal(t, http.StatusUnprocessableEntity, wrong.code)
	require.Contains(t, wrong.body, ownerName, "the name typed stays")
	require.NotContains(t, wrong.body, "not the password")
	nobody := b.post("/office/signin", login(ownerName+"x", "not the password"))
	require.Equal(t, wrong.code, nobody.code)
	require.Contains(t, nobody.text(), notLetIn)
	require.Contains(t, wrong.text(), notLetIn)

	v := login(ownerName, ownerPassword)
	v.Set("next", "/office/settings?x=1")
	before := b.session()
	a := b.post("/office/signin", v)
	require.Equal(t, "/office/settings?x=1", a.to)
	require.NotEqual(t, before, b.session(), "the session's token is a fresh one")
	p, err := b.store.FindPerson(t.Context(), 1)
	require.NoError(t, err)
	require.Zero(t, p.Misses)

	require.Equal(t, signInPath, b.post("/office/signout", nil).to)
	require.Equal(t, http.StatusSeeOther, b.get("/office/people").code)
}

// session is the token that the browser holds.
func (b *shopWindow) session() string {
	u, err := url.Parse(b.server.URL)
	require.NoError(b.t, err)
	for _, c := range b.client.Jar.Cookies(u) {
		return c.Value
	}
	return ""
}

func TestLockedAfterMisses(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	owner := b.addOwner()
	for range restoration.MaxMisses {
		require.Equal(t, http.StatusUnprocessableEntity, b.post("/office/signin", login(ownerName, "not the password")).code)
	}
	a := b.post("/office/signin", login(ownerName, ownerPassword))
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "the right password doesn't open a locked door")
	require.Contains(t, a.text(), notLetIn, "and the answer doesn't tell that it was right")
	require.NoError(t, b.store.UnlockPerson(t.Context(), restoration.Actor{PersonID: owner.ID}, owner.ID))
	require.Equal(t, http.StatusSeeOther, b.post("/office/signin", login(ownerName, ownerPassword)).code)
}

func TestTriesAreLimited(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	b.addOwner()
	codes := map[int]int{}
	for range triesPerMinute + 3 {
		codes[b.post("/office/signin", login("nobody", "x")).code]++
	}
	require.Equal(t, map[int]int{http.StatusUnprocessableEntity: triesPerMinute, http.StatusTooManyRequests: 3}, codes)
	require.Equal(t, http.StatusOK, b.get("/office/signin").code, "looking is free")
}

func TestTechnicianHasNoBusinessHere(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	owner := b.addOwner()
	_, err := b.store.AddPerson(t.Context(), restoration.Actor{PersonID: owner.ID}, "Tom Reed", restoration.RoleTechnician, "", "")
	require.NoError(t, err)
	require.Equal(t, http.StatusUnprocessableEntity, b.post("/office/signin", login("Tom Reed", "")).code)
}

func TestLocalPath(t *testing.T) {
	t.Parallel()
	for next, want := range map[string]string{
		"/office/people?a=b": "/office/people?a=b", "/office": "/office", "/office?x": "/office?x",
		"": "/office", "https://elsewhere.example": "/office", "//elsewhere.example": "/office", "/officer": "/office",
		"/office\\@elsewhere.example": "/office", "/bench": "/office", "javascript:alert(1)": "/office",
	} {
		require.Equal(t, want, localPath(next), next)
	}
}
