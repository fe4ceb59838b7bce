package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

const linkColumns = `id, car_id, created_at, expires_at, revoked_at, last_seen, views, show_hours, show_name`

type linkRow struct {
	ID        int64
	CarID     int64
	CreatedAt time.Time
	ExpiresAt time.Time
	RevokedAt *time.Time
	LastSeen  *time.Time
	Views     int
	ShowHours bool
	ShowName  bool
}

func toLink(row pgx.CollectableRow) (restoration.Link, error) {
	r, err := pgx.RowToStructByName[linkRow](row)
	return restoration.Link{ID: r.ID, CarID: r.CarID, CreatedAt: r.CreatedAt.UTC(), ExpiresAt: r.ExpiresAt.UTC(),
		RevokedAt: orZero(r.RevokedAt), LastSeen: orZero(r.LastSeen), Views: r.Views, ShowHours: r.ShowHours, ShowName: r.ShowName}, err
}

// oneLink runs a query of linkColumns that gives one row; pgx.ErrNoRows when none.
func oneLink(ctx context.Context, t tx, sql string, args ...any) (restoration.Link, error) {
	rows, err := t.Query(ctx, sql, args...)
	if err != nil {
		return restoration.Link{}, err
	}
	return pgx.CollectExactlyOneRow(rows, toLink)
}

// linkDeed is what the audit keeps of a link: what it lets be seen, and how long.
type linkDeed struct {
	Expires   time.Time `json:"expires"`
	ShowHours bool      `json:"show_hours"`
	ShowName  bool      `json:"show_name"`
}

func asDeed(l restoration.Link) linkDeed { return linkDeed{l.ExpiresAt.UTC(), l.ShowHours, l.ShowName} }

// AddLink makes a progress link of l's car that shows what l says until l.ExpiresAt;
// of its token only the hash is kept. A Problem of TroubleNotFound says that there is
// no such car, one of TroubleInvalid at the field "expires" what
// [restoration.CheckLinkEnd] says of the end.
func (s *Store) AddLink(ctx context.Context, by restoration.Actor, l restoration.Link, tokenHash []byte) (made restoration.Link, err error) {
	defer wrap(&err, "add a link to car %d", l.CarID)
	err = s.change(ctx, func(t tx) error {
		if p := restoration.CheckLinkEnd(l.ExpiresAt, t.now); p != nil {
			return p
		}
		car, err := workOrder(ctx, t, l.CarID)
		if err != nil {
			return err
		}
		made, err = oneLink(ctx, t, `
			INSERT INTO progress_links (car_id, token_hash, created_at, created_by, expires_at, show_hours, show_name)
			VALUES (@car, @hash, @now, @by, @expires, @hours, @name) RETURNING `+linkColumns,
			pgx.StrictNamedArgs{"car": l.CarID, "hash": tokenHash, "now": t.now, "by": keyOrNull(by.PersonID),
				"expires": l.ExpiresAt, "hours": l.ShowHours, "name": l.ShowName})
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActAddLink, subject: car, carID: l.CarID, after: asDeed(made)})
	})
	return made, err
}

func workOrder(ctx context.Context, t tx, carID int64) (wo string, err error) {
	err = t.QueryRow(ctx, `SELECT work_order FROM cars WHERE id = $1`, carID).Scan(&wo)
	return wo, notFound(err, "There is no such car. Go back to the page The shop.")
}

// Links lists every link that a car has had, the newest first.
func (s *Store) Links(ctx context.Context, carID int64) (_ []restoration.Link, err error) {
	defer wrap(&err, "list the links of car %d", carID)
	rows, err := s.pool.Query(ctx, `SELECT `+linkColumns+` FROM progress_links WHERE car_id = $1 ORDER BY id DESC`, carID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toLink)
}

// ChangeLink lets the link of l.ID show what l says until l.ExpiresAt, under the
// address that it has; one that ran out works again. The Problems are those of
// [Store.AddLink], and one of TroubleConflict for a revoked link, which stays shut.
func (s *Store) ChangeLink(ctx context.Context, by restoration.Actor, l restoration.Link) (err error) {
	defer wrap(&err, "change link %d", l.ID)
	return s.change(ctx, func(t tx) error {
		before, car, err := lockLink(ctx, t, l.ID)
		if err != nil {
			return err
		}
		if !before.RevokedAt.IsZero() {
			return restoration.Problemf(restoration.TroubleConflict, "", "The link is revoked, which can't be undone. Make a new one.")
		}
		if asDeed(before) == asDeed(l) {
			return nil
		}
		if p := restoration.CheckLinkEnd(l.ExpiresAt, t.now); p != nil {
			return p
		}
		after, err := oneLink(ctx, t, `
			UPDATE progress_links SET expires_at = $2, show_hours = $3, show_name = $4 WHERE id = $1 RETURNING `+linkColumns,
			l.ID, l.ExpiresAt, l.ShowHours, l.ShowName)
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActChangeLink, subject: car, carID: before.CarID, before: asDeed(before), after: asDeed(after)})
	})
}

// RevokeLink shuts a link for good: who had its address by mistake must never get in
// again. Twice is the same as once.
func (s *Store) RevokeLink(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "revoke link %d", id)
	return s.change(ctx, func(t tx) error {
		l, car, err := lockLink(ctx, t, id)
		if err != nil || !l.RevokedAt.IsZero() {
			return err
		}
		if _, err := t.Exec(ctx, `UPDATE progress_links SET revoked_at = $2 WHERE id = $1`, id, t.now); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActRevokeLink, subject: car, carID: l.CarID, before: asDeed(l)})
	})
}

// lockLink loads a link with its car's work order and keeps others from changing it.
func lockLink(ctx context.Context, t tx, id int64) (restoration.Link, string, error) {
	l, err := oneLink(ctx, t, `SELECT `+linkColumns+` FROM progress_links WHERE id = $1 FOR UPDATE`, id)
	if err != nil {
		return l, "", notFound(err, "There is no such link. Go back to the car.")
	}
	car, err := workOrder(ctx, t, l.CarID)
	return l, car, err
}

// OpenLink finds a link by the hash of its token and counts the view. An unknown, an
// expired and a revoked one give one and the same Problem of TroubleNotFound, so that
// nobody learns which tokens there ever were.
func (s *Store) OpenLink(ctx context.Context, tokenHash []byte) (l restoration.Link, err error) {
	defer wrap(&err, "open a link")
	err = s.change(ctx, func(t tx) error {
		l, err = oneLink(ctx, t, `
			UPDATE progress_links SET views = views + 1, last_seen = $2
			WHERE token_hash = $1 AND revoked_at IS NULL AND expires_at > $2 RETURNING `+linkColumns, tokenHash, t.now)
		return notFound(err, "This page isn't here. Ask the shop for a new link.")
	})
	return l, err
}
