package store

import (
	"context"

	"scumble/internal/restoration"
)

// roleOnly is a role as the audit keeps it.
type roleOnly struct {
	Role restoration.Role `json:"role"`
}

// ChangeRole makes somebody an owner or a technician, with the hash of another
// password or PIN, or "" for those that they have. What
// [restoration.Person.CheckRole] finds is refused as a Problem. The role that they
// have already changes nothing, nor a secret.
func (s *Store) ChangeRole(ctx context.Context, by restoration.Actor, id int64, role restoration.Role, passwordHash, pinHash string) (err error) {
	defer wrap(&err, "make person %d a %s", id, role)
	return s.change(ctx, func(t tx) error {
		// As in PersonLeft: two owners who step back at once can't both pass.
		owners, err := lockOwners(ctx, t)
		if err != nil {
			return err
		}
		p, err := lockPerson(ctx, t, id)
		if err != nil || p.Role == role {
			return err
		}
		was := p.Role
		p.Role, p.HasPassword, p.HasPIN = role, p.HasPassword || passwordHash != "", p.HasPIN || pinHash != ""
		if refusal := p.CheckRole(was, len(owners)); refusal != nil {
			return refusal
		}
		_, err = t.Exec(ctx, `
			UPDATE people SET role = $2, password_hash = coalesce(nullif($3, ''), password_hash), pin_hash = coalesce(nullif($4, ''), pin_hash)
			WHERE id = $1`, id, role, passwordHash, pinHash)
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActChangeRole, subject: p.Name, before: roleOnly{was}, after: roleOnly{role}})
	})
}
