package store

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

const certificateSelect = `
	SELECT c.id, c.person_id, p.name AS person, c.kind, c.done_on, c.valid_until, c.note
	FROM certificates c JOIN people p ON p.id = c.person_id WHERE c.removed_at IS NULL `

type certificateRow struct {
	ID         int64
	PersonID   int64
	Person     string
	Kind       string
	DoneOn     time.Time
	ValidUntil *time.Time
	Note       string
}

func toCertificate(row pgx.CollectableRow) (restoration.Certificate, error) {
	r, err := pgx.RowToStructByName[certificateRow](row)
	return restoration.Certificate{ID: r.ID, PersonID: r.PersonID, Person: r.Person, Kind: r.Kind, DoneOn: r.DoneOn.UTC(),
		ValidUntil: orZero(r.ValidUntil), Note: r.Note}, err
}

// AddCertificate enters a certificate of a person. What
// [restoration.Certificate.Check] finds is refused, the first fault as a Problem;
// NotFound when there is no such person.
func (s *Store) AddCertificate(ctx context.Context, by restoration.Actor, c restoration.Certificate) (saved restoration.Certificate, err error) {
	defer wrap(&err, "add a certificate of person %d", c.PersonID)
	c.Kind, c.Note = restoration.TidyName(c.Kind), withoutNUL(c.Note)
	if found := c.Check(); len(found) > 0 {
		return c, found[0]
	}
	err = s.change(ctx, func(t tx) error {
		err := t.QueryRow(ctx, `INSERT INTO certificates (person_id, kind, done_on, valid_until, note) VALUES ($1, $2, $3, $4, $5) RETURNING id`,
			c.PersonID, c.Kind, c.DoneOn, orNull(c.ValidUntil), c.Note).Scan(&c.ID)
		if broke(err, "certificates_person_id_fkey") {
			return restoration.Problemf(restoration.TroubleNotFound, "person", "There is no such person. Choose another.")
		}
		if err != nil {
			return err
		}
		if saved, err = findCertificate(ctx, t, c.ID); err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: restoration.ActAddCertificate, subject: saved.Person, after: saved}), notify(ctx, t, 0))
	})
	return saved, err
}

func findCertificate(ctx context.Context, t tx, id int64) (restoration.Certificate, error) {
	rows, err := t.Query(ctx, certificateSelect+`AND c.id = $1 FOR UPDATE OF c`, id)
	if err != nil {
		return restoration.Certificate{}, err
	}
	c, err := pgx.CollectExactlyOneRow(rows, toCertificate)
	return c, notFound(err, "There is no such certificate. Look at the list again.")
}

// DropCertificate takes a certificate off the list; the audit still tells of it.
// NotFound when it isn't on the list.
func (s *Store) DropCertificate(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "drop certificate %d", id)
	return s.change(ctx, func(t tx) error {
		c, err := findCertificate(ctx, t, id)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, `UPDATE certificates SET removed_at = $2 WHERE id = $1`, id, t.now); err != nil {
			return err
		}
		return errors.Join(audit(ctx, t, by, deed{act: restoration.ActDropCertificate, subject: c.Person, before: c}), notify(ctx, t, 0))
	})
}

// Certificates lists the certificates of everybody who works here, by person and kind,
// the latest first.
func (s *Store) Certificates(ctx context.Context) (_ []restoration.Certificate, err error) {
	defer wrap(&err, "list the certificates")
	rows, err := s.pool.Query(ctx, certificateSelect+`AND p.left_at IS NULL ORDER BY lower(p.name), p.id, lower(c.kind), c.done_on DESC, c.id DESC`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toCertificate)
}
