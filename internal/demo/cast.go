package demo

import (
	"fmt"
	"time"

	"scumble/internal/restoration"
)

// Person is somebody of the demo's shop, with what they sign in by. The secrets are
// the same for everybody who runs the demo: nothing in it is worth keeping secret.
type Person struct {
	Name     string
	Role     restoration.Role
	Password string // "" for none
	PIN      string // "" for none
}

// owner is the number of the owner in the tale; technicians follow.
const owner int64 = 1

// Cast lists who works in the shop, the owner first. In a tale, a person's number is
// the index here plus one.
func Cast() []Person {
	return []Person{
		{Name: "Marlene Hövel", Role: restoration.RoleOwner, Password: "burr and straight grain"},
		{Name: "Jörg Sälzer", Role: restoration.RoleTechnician, PIN: "4071"},
		{Name: "Ann-Kathrin Bühl", Role: restoration.RoleTechnician, PIN: "2958"},
		{Name: "Tomasz Wierny", Role: restoration.RoleTechnician, PIN: "6183"},
	}
}

// Settings are the shop's own, with the holidays of the years around now.
func Settings(now time.Time, units restoration.Units) restoration.Settings {
	s := restoration.StockSettings()
	s.Units = units
	s.ShopName = "Hövel Trim Works"
	s.TimeZone = "Europe/Berlin"
	s.RateCents = 78_00
	s.Currency = "€"
	long, short := restoration.WorkDay{Open: 7*60 + 30, Close: 16*60 + 30}, restoration.WorkDay{Open: 7*60 + 30, Close: 15 * 60}
	s.Calendar = restoration.Calendar{Days: [7]restoration.WorkDay{1: long, 2: long, 3: long, 4: long, 5: short}}
	for year := now.Year() - 1; year <= now.Year()+1; year++ {
		for _, day := range []string{"01-01", "05-01", "10-03", "12-24", "12-25", "12-26"} {
			s.Calendar.Holidays = append(s.Calendar.Holidays, fmt.Sprintf("%d-%s", year, day))
		}
	}
	return s
}
