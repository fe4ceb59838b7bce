package store_test

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// handClock is a shop's clock that a test sets by hand.
type handClock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *handClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *handClock) advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

// house is a store with an owner, whose clock stands at Fri 27 Mar 2026, 14:30.
type house struct {
	*store.Store
	clock *handClock
	owner restoration.Person
	by    restoration.Actor
}

func newHouse(t testing.TB) house {
	t.Helper()
	return houseAt(t, storetest.URL(t))
}

// houseAt is [newHouse] on a database that the test reaches by other ways too.
func houseAt(t testing.TB, url string) house {
	t.Helper()
	clock := &handClock{now: time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)}
	s := storetest.Open(t, url, store.Options{Now: clock.Now})
	owner, err := s.CreateOwner(t.Context(), "Olga Reuter", "a hash")
	require.NoError(t, err)
	return house{s, clock, owner, restoration.Actor{PersonID: owner.ID}}
}

func (h house) technician(t testing.TB, name string) restoration.Person {
	t.Helper()
	p, err := h.AddPerson(t.Context(), h.by, name, restoration.RoleTechnician, "", "a PIN's hash")
	require.NoError(t, err)
	return p
}

// requireTrouble requires a Problem whose sentence contains words.
func requireTrouble(t testing.TB, err error, trouble restoration.Trouble, field, words string) {
	t.Helper()
	p, ok := restoration.AsProblem(err)
	require.True(t, ok, "%v is no problem for a person", err)
	require.Equal(t, trouble, p.Trouble, p.Message)
	require.Equal(t, field, p.Field, p.Message)
	require.Contains(t, p.Message, words)
}

// acts gives what was done, the newest first.
func (h house) acts(t testing.TB) []string {
	t.Helper()
	rows, err := h.Audit(t.Context(), restoration.AuditFilter{Limit: 1000})
	require.NoError(t, err)
	var acts []string
	for _, r := range rows {
		acts = append(acts, strings.TrimSpace(r.Person+": "+string(r.Act)+" "+r.Subject))
	}
	return acts
}

func (h house) count(t testing.TB, act string) int {
	t.Helper()
	n := 0
	for _, a := range h.acts(t) {
		if strings.Contains(a, ": "+act+" ") {
			n++
		}
	}
	return n
}

func TestFirstOwner(t *testing.T) {
	t.Parallel()
	s, ctx := storetest.New(t), t.Context()
	exists, err := s.OwnerExists(ctx)
	require.NoError(t, err)
	require.False(t, exists)
	_, err = s.CreateOwner(ctx, "  ", "a hash")
	requireTrouble(t, err, restoration.TroubleInvalid, "name", "needs a name")
	_, err = s.CreateOwner(ctx, "Olga", "")
	requireTrouble(t, err, restoration.TroubleInvalid, "password", "needs a password")

	var made sync.Map
	var all errgroup.Group
	for i := range 4 {
		all.Go(func() error {
			_, err := s.CreateOwner(ctx, "Owner "+string(rune('A'+i)), "a hash")
			made.Store(i, err)
			return nil
		})
	}
	require.NoError(t, all.Wait())
	won := 0
	made.Range(func(_, err any) bool {
		if err == nil {
			won++
		} else {
			requireTrouble(t, err.(error), restoration.TroubleConflict, "", "has an owner already")
		}
		return true
	})
	require.Equal(t, 1, won)
	exists, err = s.OwnerExists(ctx)
	require.NoError(t, err)
	require.True(t, exists)
}

func TestAddAndFindPeople(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida, err := h.AddPerson(ctx, h.by, "  Ida \u00a0 Brandt ", restoration.RoleTechnician, "", "a PIN's hash")
	require.NoError(t, err)
	require.Equal(t, restoration.Person{ID: ida.ID, Name: "Ida Brandt", Role: restoration.RoleTechnician, HasPIN: true}, ida)

	got, err := h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, ida, got)
	_, err = h.FindPerson(ctx, 999)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such person")

	got, hash, err := h.FindLogin(ctx, "OLGA reuter ")
	require.NoError(t, err)
	require.Equal(t, h.owner, got)
	require.Equal(t, "a hash", hash)
	_, hash, err = h.FindLogin(ctx, "ida brandt")
	require.NoError(t, err)
	require.Empty(t, hash)
	_, _, err = h.FindLogin(ctx, "Nobody' OR true --")
	requireTrouble(t, err, restoration.TroubleNotFound, "", "name or the password is wrong")

	people, err := h.People(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.Person{ida, h.owner}, people)
	require.Equal(t, []string{"Olga Reuter: add person Ida Brandt", "Olga Reuter: create owner Olga Reuter"}, h.acts(t))
}

func TestAddPersonRefuses(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	h.technician(t, "Ida Brandt")
	for name, c := range map[string]struct {
		person   string
		role     restoration.Role
		password string
		trouble  restoration.Trouble
		field    string
		words    string
	}{
		"no name":          {" \t", restoration.RoleTechnician, "", restoration.TroubleInvalid, "name", "needs a name"},
		"a name of 61":     {strings.Repeat("ü", 61), restoration.RoleTechnician, "", restoration.TroubleInvalid, "name", "at most 60"},
		"a taken name":     {"IDA  brandt", restoration.RoleTechnician, "", restoration.TroubleConflict, "name", "works here already"},
		"no such role":     {"Bo", "king", "", restoration.TroubleInvalid, "role", "owner or a technician"},
		"owner, no secret": {"Bo", restoration.RoleOwner, "", restoration.TroubleInvalid, "password", "needs a password"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := h.AddPerson(t.Context(), h.by, c.person, c.role, c.password, "")
			requireTrouble(t, err, c.trouble, c.field, c.words)
		})
	}
	require.Len(t, h.acts(t), 2, "what is refused leaves no trace in the audit")
}

func TestAwkwardNamesAreKeptAsTyped(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	for _, name := range []string{`<script>alert(1)</script>`, `'; DROP TABLE people; --`, `Åsa Øst-Łoś`, `שרה לוי`, `%_\`, strings.Repeat("ü", 60)} {
		p := h.technician(t, name)
		require.Equal(t, name, p.Name)
		got, _, err := h.FindLogin(t.Context(), name)
		require.NoError(t, err)
		require.Equal(t, p, got)
	}
}

func TestRenamePerson(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	require.NoError(t, h.RenamePerson(ctx, h.by, ida.ID, " Ida  B. "))
	require.NoError(t, h.RenamePerson(ctx, h.by, ida.ID, "Ida B."), "the same name again")
	require.NoError(t, h.RenamePerson(ctx, h.by, ida.ID, "IDA B."), "one's own name in capitals")
	got, err := h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, "IDA B.", got.Name)
	require.Equal(t, 2, h.count(t, "rename person"))
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.JSONEq(t, `{"name": "Ida B."}`, rows[0].Before)
	require.JSONEq(t, `{"name": "IDA B."}`, rows[0].After)

	requireTrouble(t, h.RenamePerson(ctx, h.by, ida.ID, "olga reuter"), restoration.TroubleConflict, "name", "works here already")
	requireTrouble(t, h.RenamePerson(ctx, h.by, ida.ID, ""), restoration.TroubleInvalid, "name", "needs a name")
	requireTrouble(t, h.RenamePerson(ctx, h.by, 999, "Bo"), restoration.TroubleNotFound, "", "no such person")
}

func TestPersonLeft(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	ida := h.technician(t, "Ida")
	require.NoError(t, h.PersonLeft(ctx, h.by, ida.ID))
	require.NoError(t, h.PersonLeft(ctx, h.by, ida.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "person left"))
	gone, err := h.FindPerson(ctx, ida.ID)
	require.NoError(t, err)
	require.Equal(t, h.clock.Now(), gone.LeftAt)

	_, _, err = h.FindLogin(ctx, "Ida")
	requireTrouble(t, err, restoration.TroubleNotFound, "", "wrong")
	_, err = h.PINHash(ctx, ida.ID)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such person")
	requireTrouble(t, h.RecordSignIn(ctx, ida.ID, 0), restoration.TroubleForbidden, "", "can't sign in")
	bench, err := h.BenchPeople(ctx, 0)
	require.NoError(t, err)
	require.Empty(t, bench)
	again := h.technician(t, "Ida")
	require.NotEqual(t, ida.ID, again.ID, "the name is free")

	requireTrouble(t, h.PersonLeft(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such person")
	requireTrouble(t, h.PersonLeft(ctx, h.by, h.owner.ID), restoration.TroubleConflict, "", "the only owner")
}

func TestTwoOwnersCannotTakeEachOtherOut(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	second, err := h.AddPerson(ctx, h.by, "Otto", restoration.RoleOwner, "a hash", "")
	require.NoError(t, err)
	var errs [2]error
	var both sync.WaitGroup
	both.Go(func() { errs[0] = h.PersonLeft(ctx, h.by, second.ID) })
	both.Go(func() { errs[1] = h.PersonLeft(ctx, restoration.Actor{PersonID: second.ID}, h.owner.ID) })
	both.Wait()
	require.True(t, (errs[0] == nil) != (errs[1] == nil), "one leaves and one stays: %v", errs)
	exists, err := h.OwnerExists(ctx)
	require.NoError(t, err)
	require.True(t, exists)
}
