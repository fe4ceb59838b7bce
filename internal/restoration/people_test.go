package restoration_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestCheckRole(t *testing.T) {
	t.Parallel()
	const owner, technician = restoration.RoleOwner, restoration.RoleTechnician
	then := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		was      restoration.Role
		p        restoration.Person // as it would be
		owners   int
		field    string
		sentence string // "" allowed
	}{
		"a technician becomes an owner":        {technician, restoration.Person{Role: owner, HasPassword: true}, 1, "", ""},
		"without a password":                   {technician, restoration.Person{Role: owner, HasPIN: true}, 1, "password", "needs a password"},
		"one of two owners steps back":         {owner, restoration.Person{Role: technician, HasPIN: true, HasPassword: true}, 2, "", ""},
		"without a PIN":                        {owner, restoration.Person{Role: technician, HasPassword: true}, 2, "pin", "needs a PIN"},
		"the only owner steps back":            {owner, restoration.Person{Name: "Olga", Role: technician, HasPIN: true}, 1, "role", "Olga is the only owner"},
		"the only owner stays one":             {owner, restoration.Person{Role: owner, HasPassword: true}, 1, "", ""},
		"a technician of a shop with no owner": {technician, restoration.Person{Role: technician, HasPIN: true}, 0, "", ""},
		"who has left":                         {technician, restoration.Person{Name: "Tom", Role: owner, HasPassword: true, LeftAt: then}, 1, "", "Tom has left"},
		"a role that is none":                  {technician, restoration.Person{Role: "king", HasPIN: true, HasPassword: true}, 2, "role", "owner or a technician"},
	} {
		got := c.p.CheckRole(c.was, c.owners)
		if c.sentence == "" {
			require.Nil(t, got, name)
			continue
		}
		require.NotNil(t, got, name)
		require.Equal(t, c.field, got.Field, name)
		require.Contains(t, got.Message, c.sentence, name)
	}
}

func TestCheckLeaving(t *testing.T) {
	t.Parallel()
	then := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	require.NotNil(t, restoration.Person{Role: restoration.RoleOwner}.CheckLeaving(1))
	require.Nil(t, restoration.Person{Role: restoration.RoleOwner}.CheckLeaving(2))
	require.Nil(t, restoration.Person{Role: restoration.RoleTechnician}.CheckLeaving(1))
	require.Nil(t, restoration.Person{Role: restoration.RoleOwner, LeftAt: then}.CheckLeaving(1), "one who has left is no owner to lose")
}

func TestCheckLinkEnd(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		ends time.Time
		ok   bool
	}{
		"now": {now, false}, "yesterday": {now.AddDate(0, 0, -1), false}, "in a second": {now.Add(time.Second), true},
		"in ten years": {now.AddDate(10, 0, 0), true}, "and a day": {now.AddDate(10, 0, 1), false}, "never": {time.Time{}, false},
	} {
		require.Equal(t, c.ok, restoration.CheckLinkEnd(c.ends, now) == nil, name)
	}
}
