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

// CheckLeaving refuses to let somebody leave without whom nobody could get into the
// office; owners is how many owners work here now.
func (p Person) CheckLeaving(owners int) *Problem {
	if p.Role == RoleOwner && p.LeftAt.IsZero() && owners <= 1 {
		return Problemf(TroubleConflict, "", "%s is the only owner, and nobody else could get into the office. Add another owner first.", p.Name)
	}
	return nil
}

// CheckRole refuses to give somebody a role; p is how they would be with it, with the
// PIN and the password that they then have, and was the role until now. The last of
// the owners keeps theirs; who has left gets none.
func (p Person) CheckRole(was Role, owners int) *Problem {
	switch {
	case p.Role != RoleOwner && p.Role != RoleTechnician:
		return Problemf(TroubleInvalid, "role", "A person is an owner or a technician.")
	case !p.LeftAt.IsZero():
		return Problemf(TroubleConflict, "", "%s has left the shop. Take %s back first.", p.Name, p.Name)
	case was == RoleOwner && p.Role != RoleOwner && owners <= 1:
		return Problemf(TroubleConflict, "role",
			"%s is the only owner, and nobody else could get into the office. Make somebody else an owner first.", p.Name)
	case p.Role == RoleOwner && !p.HasPassword:
		return Problemf(TroubleInvalid, "password", "An owner needs a password for the office.")
	case p.Role == RoleTechnician && !p.HasPIN:
		return Problemf(TroubleInvalid, "pin", "A technician needs a PIN for the tablet.")
	}
	return nil
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

// Visit is who asks from a tablet, by which settings of the shop.
type Visit struct {
	Device   Device
	Person   Person
	Settings Settings
}

// MayReturn tells whether a tablet that was shut out can be let in again with what it
// still has: one that never typed its code has nothing.
func (d Device) MayReturn(now time.Time) bool {
	return !d.EnrolledAt.IsZero() && MayUndo(d.RevokedAt, now)
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

// CheckLinkEnd refuses an end at which a link would be dead at once, or outlive the
// work on any car.
func CheckLinkEnd(ends, now time.Time) *Problem {
	switch {
	case !ends.After(now):
		return Problemf(TroubleInvalid, "expires", "A link must work for a while. Choose a later day.")
	case ends.After(now.AddDate(10, 0, 0)):
		return Problemf(TroubleInvalid, "expires", "A link works for ten years at most. Choose an earlier day.")
	}
	return nil
}

// Live tells whether the link still opens at now.
func (l Link) Live(now time.Time) bool { return l.RevokedAt.IsZero() && now.Before(l.ExpiresAt) }
