package restoration

import "time"

// Role is what a person may do.
type Role string

// The roles.
const (
	RoleOwner      Role = "owner"
	RoleTechnician Role = "technician"
)

// Person works in the shop. An owner signs in at the office with a password, a
// technician on a tablet with a PIN; one person may have both.
type Person struct {
	ID          int64
	Name        string
	Role        Role
	HasPIN      bool
	HasPassword bool
	Misses      int       // wrong PINs or passwords in a row
	LockedAt    time.Time // zero: not locked
	LeftAt      time.Time // no longer works here
	LastSeen    time.Time
}

// MaxMisses is how many wrong PINs in a row lock a person until the owner unlocks.
const MaxMisses = 5

// Device is an enrolled tablet.
type Device struct {
	ID         int64
	Name       string
	EnrolledAt time.Time
	LastSeen   time.Time
	RevokedAt  time.Time
}

// Link is a customer's progress link. The token itself is never kept.
type Link struct {
	ID        int64
	CarID     int64
	CreatedAt time.Time
	ExpiresAt time.Time
	RevokedAt time.Time
	LastSeen  time.Time
	Views     int
	ShowHours bool
	ShowName  bool // the car's name may stand in the page's title and preview
}

// Live tells whether the link still opens at now.
func (l Link) Live(now time.Time) bool { return l.RevokedAt.IsZero() && now.Before(l.ExpiresAt) }
