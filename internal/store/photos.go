package store

import (
	"context"
	"encoding/hex"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/photos"
	"scumble/internal/restoration"
)

// EnterPhoto takes a photo of a piece into the ledger, and keeps its picture in the same
// transaction: an answer says that both are on disk. e is of KindPhoto; its Photo is
// filled in here. The same id again gets the answer that it got, as with [Store.Enter].
// The picture of a refused entry is kept too.
func (s *Store) EnterPhoto(ctx context.Context, e restoration.Event, p photos.Photo) (out restoration.Outcome, err error) {
	defer wrap(&err, "enter photo %v", e.ID)
	e.Photo = p.ID.String()
	return s.enter(ctx, tidy(e), func(t tx) error {
		_, err := t.Exec(ctx, `
			INSERT INTO photos (id, large, small, width, height, small_width, small_height, created_at)
			VALUES (@id, @large, @small, @width, @height, @small_width, @small_height, @now) ON CONFLICT (id) DO NOTHING`,
			pgx.StrictNamedArgs{"id": p.ID[:], "large": p.Large.JPEG, "small": p.Small.JPEG, "width": p.Large.Width, "height": p.Large.Height,
				"small_width": p.Small.Width, "small_height": p.Small.Height, "now": t.now})
		return err
	})
}

// pictureLost tells whether e names a picture that the shop doesn't have.
func pictureLost(ctx context.Context, t tx, e restoration.Event) (bool, error) {
	id, err := hex.DecodeString(e.Photo)
	if e.Kind != restoration.KindPhoto || err != nil || len(id) != len(photos.ID{}) {
		return false, nil // what is no id the rules refuse
	}
	var has bool
	err = t.QueryRow(ctx, `SELECT EXISTS (SELECT FROM photos WHERE id = $1)`, id).Scan(&has)
	return !has, err
}

// keepLost keeps an entry whose picture never came. The rules can't tell that when they
// replay the ledger, so the entry is kept about no piece.
func keepLost(ctx context.Context, t tx, e restoration.Event, err error) (restoration.Outcome, error) {
	if err != nil {
		return restoration.Outcome{}, err
	}
	return keepUnknown(ctx, t, e, "The picture of this photo did not come. Take the photo again.")
}

// queuePhoto queues the row that an applied entry adds to the photos of its piece.
func queuePhoto(b *pgx.Batch, after restoration.Piece, e restoration.Event) {
	ph, ok := restoration.PhotoOf(after, e)
	if !ok {
		return
	}
	b.Queue(`INSERT INTO piece_photos (event_id, photo_id, component_id, car_id, step_id, stage, pass, at, person_id, note)
		VALUES ($1, decode($2, 'hex'), $3, $4, $5, $6, $7, $8, $9, $10)`,
		ph.EventID, ph.Photo, ph.PieceID, ph.CarID, ph.StepID, ph.Stage, ph.Pass, ph.At, keyOrNull(ph.PersonID), ph.Note)
}

// photoRow is a photo of a piece with the names that a reader wants.
type photoRow struct {
	EventID      restoration.ID
	CarID        int64
	ComponentID  restoration.ID
	Photo        string
	StepID       restoration.ID
	Stage        string
	Pass         int
	At           time.Time
	PersonID     *int64
	Note         string
	Width        int
	Height       int
	SmallWidth   int
	SmallHeight  int
	Piece        string
	Zone         string
	Side         string
	StageName    string
	StageLook    string
	Position     int
	Person       string
	CustomerSees bool
	RemovedAt    *time.Time
}

const photoSelect = `
	SELECT x.event_id, x.car_id, x.component_id, encode(x.photo_id, 'hex') AS photo, x.step_id, x.stage, x.pass, x.at, x.person_id, x.note,
		f.width, f.height, f.small_width, f.small_height, p.name AS piece, p.zone, p.side,
		coalesce(g.name, x.stage) AS stage_name, coalesce(g.document ->> 'look', '') AS stage_look, coalesce(g.position, -1) AS position,
		coalesce(h.name, '') AS person, x.customer_sees, x.removed_at
	FROM piece_photos x
	JOIN photos f ON f.id = x.photo_id
	JOIN components p ON p.id = x.component_id
	LEFT JOIN route_stages g ON g.route_id = p.route_id AND g.key = x.stage
	LEFT JOIN people h ON h.id = x.person_id `

func toPhoto(row pgx.CollectableRow) (restoration.PiecePhoto, error) {
	r, err := pgx.RowToStructByName[photoRow](row)
	piece := restoration.Details{Name: r.Piece, Zone: restoration.Zone(r.Zone), Side: restoration.Side(r.Side)}
	look := restoration.Look(r.StageLook)
	if r.Stage == "" {
		look = restoration.LookBare
	} else if look == "" {
		look = restoration.LookOther // of a route that the piece has left
	}
	return restoration.PiecePhoto{EventID: r.EventID, CarID: r.CarID, PieceID: r.ComponentID, Photo: r.Photo, StepID: r.StepID,
		Stage: r.Stage, Pass: r.Pass, At: r.At.UTC(), PersonID: keyOrZero(r.PersonID), Note: r.Note,
		PhotoSize: restoration.PhotoSize{Width: r.Width, Height: r.Height, SmallWidth: r.SmallWidth, SmallHeight: r.SmallHeight},
		Piece:     piece.Title(), StageName: r.StageName, StageLook: look, Position: r.Position, Person: r.Person,
		CustomerSees: r.CustomerSees, Removed: orZero(r.RemovedAt)}, err
}

// listPhotos gives photos with their names, in the order of time.
func listPhotos(ctx context.Context, from asker, where string, args ...any) ([]restoration.PiecePhoto, error) {
	rows, err := from.Query(ctx, photoSelect+`WHERE `+where+` ORDER BY x.at, x.event_id`, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toPhoto)
}

// Photos lists photos of pieces in the order in which they were taken.
func (s *Store) Photos(ctx context.Context, f restoration.PhotoFilter) (_ []restoration.PiecePhoto, err error) {
	defer wrap(&err, "list photos %+v", f)
	return listPhotos(ctx, s.pool, `($1 = 0 OR x.car_id = $1) AND ($2::uuid IS NULL OR x.component_id = $2)
		AND (x.removed_at IS NOT NULL) = $3 AND (NOT $4 OR x.customer_sees AND p.removed_at IS NULL)`, f.CarID, f.PieceID, f.Removed, f.Shared)
}

// noPhoto is the one answer to a photo that isn't there, or isn't for who asks.
const noPhoto = "There is no such photo. It may have been taken away."

// FindPicture gives the JPEG of a photo, small as it stands in lists or large. NotFound
// when there is none.
func (s *Store) FindPicture(ctx context.Context, id photos.ID, small bool) (jpeg []byte, err error) {
	defer wrap(&err, "find picture %v", id)
	err = s.pool.QueryRow(ctx, `SELECT CASE WHEN $2 THEN small ELSE large END FROM photos WHERE id = $1`, id[:], small).Scan(&jpeg)
	return jpeg, notFound(err, noPhoto)
}

// FindSharedPicture is [Store.FindPicture] for who has a progress link: it gives only
// what the owner lets the customer of that very car see just now. Every other picture,
// and every link that is unknown, expired or revoked, is the same NotFound.
func (s *Store) FindSharedPicture(ctx context.Context, tokenHash []byte, id photos.ID, small bool) (jpeg []byte, err error) {
	defer wrap(&err, "find shared picture %v", id)
	err = s.pool.QueryRow(ctx, `
		SELECT CASE WHEN $3 THEN f.small ELSE f.large END FROM photos f
		WHERE f.id = $2 AND EXISTS (SELECT FROM piece_photos x
			JOIN progress_links l ON l.car_id = x.car_id JOIN components p ON p.id = x.component_id
			WHERE x.photo_id = f.id AND x.customer_sees AND x.removed_at IS NULL AND p.removed_at IS NULL
				AND l.token_hash = $1 AND l.revoked_at IS NULL AND l.expires_at > $4)`,
		tokenHash, id[:], small, s.instant()).Scan(&jpeg)
	return jpeg, notFound(err, noPhoto)
}

// ShowPhoto lets the customer see a photo, or no longer. Twice is the same as once. A
// Problem of TroubleConflict says that it was taken away.
func (s *Store) ShowPhoto(ctx context.Context, by restoration.Actor, event restoration.ID, show bool) (err error) {
	defer wrap(&err, "show photo %v", event)
	return s.changePhoto(ctx, by, event, func(t tx, ph restoration.PiecePhoto) (restoration.Act, error) {
		switch {
		case ph.CustomerSees == show:
			return "", nil
		case !ph.Removed.IsZero():
			return "", restoration.Problemf(restoration.TroubleConflict, "", "The photo was taken away. Bring it back first.")
		}
		_, err := t.Exec(ctx, `UPDATE piece_photos SET customer_sees = $2 WHERE event_id = $1`, event, show)
		if show {
			return restoration.ActShowPhoto, err
		}
		return restoration.ActHidePhoto, err
	})
}

// RemovePhoto takes a photo off its piece, and from the customer's sight.
// [Store.RestorePhoto] brings it back for [restoration.UndoDays] days. Twice is the same
// as once; the ledger still tells of it.
func (s *Store) RemovePhoto(ctx context.Context, by restoration.Actor, event restoration.ID) (err error) {
	defer wrap(&err, "remove photo %v", event)
	return s.changePhoto(ctx, by, event, func(t tx, ph restoration.PiecePhoto) (restoration.Act, error) {
		if !ph.Removed.IsZero() {
			return "", nil
		}
		_, err := t.Exec(ctx, `UPDATE piece_photos SET removed_at = $2, customer_sees = false WHERE event_id = $1`, event, t.now)
		return restoration.ActRemovePhoto, err
	})
}

// RestorePhoto undoes [Store.RemovePhoto]; the customer doesn't see the photo until the
// owner says so again. A Problem of TroubleConflict says that it was taken away too long
// ago.
func (s *Store) RestorePhoto(ctx context.Context, by restoration.Actor, event restoration.ID) (err error) {
	defer wrap(&err, "restore photo %v", event)
	return s.changePhoto(ctx, by, event, func(t tx, ph restoration.PiecePhoto) (restoration.Act, error) {
		switch {
		case ph.Removed.IsZero():
			return "", nil
		case !restoration.MayUndo(ph.Removed, t.now):
			return "", restoration.Problemf(restoration.TroubleConflict, "",
				"The photo was taken away more than %d days ago. Add it again from its file.", restoration.UndoDays)
		}
		_, err := t.Exec(ctx, `UPDATE piece_photos SET removed_at = NULL WHERE event_id = $1`, event)
		return restoration.ActRestorePhoto, err
	})
}

// changePhoto lets change do something to a photo, and audits the act that it names; ""
// is none.
func (s *Store) changePhoto(ctx context.Context, by restoration.Actor, event restoration.ID,
	change func(tx, restoration.PiecePhoto) (restoration.Act, error)) error {
	return s.change(ctx, func(t tx) error {
		// The row is locked first: who waited for it sees what the other has made of it.
		if _, err := t.Exec(ctx, `SELECT FROM piece_photos WHERE event_id = $1 FOR UPDATE`, event); err != nil {
			return err
		}
		found, err := listPhotos(ctx, t, `x.event_id = $1`, event)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return restoration.Problemf(restoration.TroubleNotFound, "", noPhoto)
		}
		ph := found[0]
		act, err := change(t, ph)
		if err != nil || act == "" {
			return err
		}
		return errors.Join(notify(ctx, t, ph.CarID), audit(ctx, t, by, deed{act: act, subject: ph.Piece, carID: ph.CarID, pieceID: ph.PieceID,
			after: photoDeed{ph.At, ph.StageName}}))
	})
}

// photoDeed is what the audit keeps of a photo.
type photoDeed struct {
	Taken time.Time `json:"taken"`
	Stage string    `json:"stage"`
}
