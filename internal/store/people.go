package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// personColumns are the columns of a personRow; no hash leaves the store with them.
const personColumns = `id, name, role, pin_hash IS NOT NULL AS has_pin, password_hash IS NOT NULL AS has_password,
	misses, locked_at, left_at, last_seen`

type personRow struct {
	ID          int64
	Name        string
	Role        restoration.Role
	HasPIN      bool `db:"has_pin"`
	HasPassword bool
	Misses      int
	LockedAt    *time.Time
	LeftAt      *time.Time
	LastSeen    *time.Time
}

func (r personRow) person() restoration.Person {
	return restoration.Person{ID: r.ID, Name: r.Name, Role: r.Role, HasPIN: r.HasPIN, HasPassword: r.HasPassword,
		Misses: r.Misses, LockedAt: orZero(r.LockedAt), LeftAt: orZero(r.LeftAt), LastSeen: orZero(r.LastSeen)}
}

// toPerson reads a row of personColumns.
func toPerson(row pgx.CollectableRow) (restoration.Person, error) {
	r, err := pgx.RowToStructByName[personRow](row)
	return r.person(), err
}

// onePerson runs a query of personColumns that gives one row; pgx.ErrNoRows when none.
func onePerson(ctx context.Context, from asker, sql string, args ...any) (restoration.Person, error) {
	rows, err := from.Query(ctx, sql, args...)
	if err != nil {
		return restoration.Person{}, err
	}
	return pgx.CollectExactlyOneRow(rows, toPerson)
}

// People lists everybody, those who have left too: who works here first, by name.
func (s *Store) People(ctx context.Context) (_ []restoration.Person, err error) {
	defer wrap(&err, "list the people")
	rows, err := s.pool.Query(ctx, `SELECT `+personColumns+` FROM people ORDER BY left_at DESC NULLS FIRST, lower(name), id`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toPerson)
}

// FindPerson finds somebody by id, those who have left too. A Problem of
// TroubleNotFound says that there is nobody.
func (s *Store) FindPerson(ctx context.Context, id int64) (p restoration.Person, err error) {
	defer wrap(&err, "find person %d", id)
	p, err = onePerson(ctx, s.pool, `SELECT `+personColumns+` FROM people WHERE id = $1`, id)
	return p, noPerson(err)
}

func noPerson(err error) error {
	return notFound(err, "There is no such person here. Go back to the page People.")
}

// BenchPeople lists who may sign in on a tablet: those with a PIN who work here. Who
// signed in on this tablet last comes first, then by name.
func (s *Store) BenchPeople(ctx context.Context, deviceID int64) (_ []restoration.Person, err error) {
	defer wrap(&err, "list the people of tablet %d", deviceID)
	rows, err := s.pool.Query(ctx, `
		SELECT `+personColumns+`
		FROM people LEFT JOIN (
			SELECT person_id, max(id) AS latest FROM audit
			WHERE device_id = $1 AND act = $2 GROUP BY person_id
		) AS here ON here.person_id = people.id
		WHERE pin_hash IS NOT NULL AND left_at IS NULL
		ORDER BY here.latest DESC NULLS LAST, lower(name), id`, deviceID, restoration.ActSignIn)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toPerson)
}

// AddPerson adds somebody who works here. A hash is "" for who has no password or no
// PIN; an owner needs a password. A Problem of TroubleConflict at the field "name"
// says that the name is taken.
func (s *Store) AddPerson(ctx context.Context, by restoration.Actor, name string, role restoration.Role, passwordHash, pinHash string) (p restoration.Person, err error) {
	defer wrap(&err, "add person %q", name)
	err = s.change(ctx, func(t tx) error {
		p, err = insertPerson(ctx, t, name, role, passwordHash, pinHash)
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActAddPerson, subject: p.Name, after: p})
	})
	return p, err
}

func insertPerson(ctx context.Context, t tx, name string, role restoration.Role, passwordHash, pinHash string) (restoration.Person, error) {
	name = restoration.TidyName(name)
	if p := restoration.CheckName("name", "A person", name); p != nil {
		return restoration.Person{}, p
	}
	if role != restoration.RoleOwner && role != restoration.RoleTechnician {
		return restoration.Person{}, restoration.Problemf(restoration.TroubleInvalid, "role", "A person is an owner or a technician.")
	}
	return onePerson(ctx, t, `
		INSERT INTO people (name, role, password_hash, pin_hash, created_at)
		VALUES ($1, $2, nullif($3, ''), nullif($4, ''), $5) RETURNING `+personColumns,
		name, role, passwordHash, pinHash, t.now)
}

// RenamePerson gives somebody another name, with the Problem of [Store.AddPerson]
// when it is taken.
func (s *Store) RenamePerson(ctx context.Context, by restoration.Actor, id int64, name string) (err error) {
	defer wrap(&err, "rename person %d", id)
	name = restoration.TidyName(name)
	if p := restoration.CheckName("name", "A person", name); p != nil {
		return p
	}
	return s.change(ctx, func(t tx) error {
		p, err := lockPerson(ctx, t, id)
		if err != nil || p.Name == name {
			return err
		}
		if _, err := t.Exec(ctx, `UPDATE people SET name = $2 WHERE id = $1`, id, name); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActRenamePerson, subject: name, before: nameOnly{p.Name}, after: nameOnly{name}})
	})
}

// nameOnly is a name as the audit keeps it.
type nameOnly struct {
	Name string `json:"name"`
}

// lockPerson loads somebody and keeps others from changing them until t ends.
func lockPerson(ctx context.Context, t tx, id int64) (restoration.Person, error) {
	p, err := onePerson(ctx, t, `SELECT `+personColumns+` FROM people WHERE id = $1 FOR UPDATE`, id)
	return p, noPerson(err)
}
