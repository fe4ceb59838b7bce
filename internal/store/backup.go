package store

import (
	"archive/zip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/golang-migrate/migrate/v4"
	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// backedUp lists the tables of a backup so that each stands after those it refers
// to. Sessions are left out: after a restore everybody signs in again.
var backedUp = []string{"settings", "people", "devices", "audit", "routes", "route_stages", "cars",
	"components", "finish_steps", "progress_links", "shop_events", "materials", "lots", "schemes", "coats", "coat_lots",
	"cut_passes", "readings", "films", "sensors", "air", "certificates", "photos", "piece_photos",
	"places", "place_fits"}

// numbered lists the tables whose numbers Postgres gives.
var numbered = map[string]string{"people": "id", "devices": "id", "audit": "id", "routes": "id", "cars": "id",
	"progress_links": "id", "shop_events": "seq", "materials": "id", "lots": "id", "schemes": "id", "sensors": "id", "air": "id",
	"certificates": "id", "places": "id"}

const (
	backupForm     = "scumble-backup"
	backupManifest = "backup.json"
)

// manifest is the first entry of a backup.
type manifest struct {
	Form      string              `json:"form"`
	Migration int64               `json:"migration"` // version of the schema
	MadeAt    time.Time           `json:"made_at"`
	Columns   map[string][]string `json:"columns"` // of each table, in the order of its rows
}

// Backup writes the whole database as it stands at one moment: a zip archive with a
// manifest and, for each table, its rows in Postgres's COPY text format. It holds
// the hashes of PINs, passwords and tokens, which an export does not.
func (s *Store) Backup(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "back up the database")
	archive := zip.NewWriter(w)
	err = s.look(ctx, func(t tx) error {
		m := manifest{Form: backupForm, MadeAt: t.now, Columns: map[string][]string{}}
		if err := t.QueryRow(ctx, `SELECT version FROM schema_migrations`).Scan(&m.Migration); err != nil {
			return err
		}
		for _, table := range backedUp {
			if m.Columns[table], err = columnsOf(ctx, t, table); err != nil {
				return err
			}
		}
		entry, err := archive.Create(backupManifest)
		if err != nil {
			return err
		}
		if err := json.NewEncoder(entry).Encode(m); err != nil {
			return err
		}
		for _, table := range backedUp {
			if err := copyOut(ctx, t, archive, table, m.Columns[table]); err != nil {
				return err
			}
		}
		return nil
	})
	return errors.Join(err, archive.Close())
}

func columnsOf(ctx context.Context, t pgx.Tx, table string) ([]string, error) {
	rows, err := t.Query(ctx, `SELECT column_name::text FROM information_schema.columns
		WHERE table_schema = current_schema() AND table_name = $1 ORDER BY ordinal_position`, table)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

func copyOut(ctx context.Context, t pgx.Tx, archive *zip.Writer, table string, columns []string) error {
	entry, err := archive.Create(table + ".copy")
	if err != nil {
		return err
	}
	_, err = t.Conn().PgConn().CopyTo(ctx, entry, copyStatement(table, columns, "TO STDOUT"))
	return err
}

func copyStatement(table string, columns []string, way string) string {
	list := ""
	for i, c := range columns {
		if i > 0 {
			list += ", "
		}
		list += pgx.Identifier{c}.Sanitize()
	}
	return "COPY " + pgx.Identifier{table}.Sanitize() + " (" + list + ") " + way
}

// Restore reads what [Store.Backup] wrote into the database at url, and brings it to
// the form of this program. It works with the rights of the connecting user, and
// refuses a database that holds people or cars. It restores everything or nothing.
func Restore(ctx context.Context, url string, r io.Reader) (err error) {
	defer wrap(&err, "restore a backup")
	archive, m, done, err := openBackup(r)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	newest, err := newestMigration()
	if err != nil {
		return err
	}
	if m.Migration > newest {
		return restoration.Problemf(restoration.TroubleInvalid, "",
			"The backup was made by a newer program (version %d, this one knows %d). Use the newer program.", m.Migration, newest)
	}
	if err := mustBeEmpty(ctx, url); err != nil {
		return err
	}
	if err := Unmigrate(ctx, url); err != nil {
		return err
	}
	to := func(mig *migrate.Migrate) error { return mig.Migrate(uint(m.Migration)) }
	if err := eachMigration(ctx, url, to); err != nil {
		return err
	}
	if err := copyIn(ctx, url, archive, m); err != nil {
		return err
	}
	if err := Migrate(ctx, url); err != nil {
		return err
	}
	return Vacuum(ctx, url)
}

// Vacuum tells Postgres's planner what a bulk load has put into the tables, with the
// rights of the connecting user. Until then, or until Postgres comes round to it by
// itself, the roll-up takes half as long again.
func Vacuum(ctx context.Context, url string) (err error) {
	defer wrap(&err, "vacuum the database")
	return connected(ctx, url, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, `VACUUM (ANALYZE)`)
		return err
	})
}

// openBackup spools r, since a zip archive is read from its end, and reads its
// manifest. done lets go of the spool.
func openBackup(r io.Reader) (_ *zip.Reader, m manifest, done func() error, err error) {
	spool, err := os.CreateTemp("", "scumble-restore-*")
	if err != nil {
		return nil, m, nil, err
	}
	drop := func() error { return errors.Join(spool.Close(), os.Remove(spool.Name())) }
	defer func() {
		if err != nil {
			err = errors.Join(err, drop())
		}
	}()
	size, err := io.Copy(spool, r)
	if err != nil {
		return nil, m, nil, err
	}
	notOurs := restoration.Problemf(restoration.TroubleInvalid, "", "The file is no Scumble backup, or it is damaged.")
	archive, err := zip.NewReader(spool, size)
	if err != nil {
		return nil, m, nil, notOurs
	}
	entry, err := archive.Open(backupManifest)
	if err != nil {
		return nil, m, nil, notOurs
	}
	if err := json.NewDecoder(entry).Decode(&m); err != nil || m.Form != backupForm {
		return nil, m, nil, notOurs
	}
	return archive, m, drop, entry.Close()
}

func mustBeEmpty(ctx context.Context, url string) error {
	if err := Migrate(ctx, url); err != nil {
		return err
	}
	return connected(ctx, url, func(conn *pgx.Conn) error {
		var used bool
		err := conn.QueryRow(ctx, `SELECT EXISTS (SELECT FROM people) OR EXISTS (SELECT FROM cars)`).Scan(&used)
		if err == nil && used {
			return restoration.Problemf(restoration.TroubleConflict, "",
				"The database holds people or cars already. Restore into an empty one, so that nothing is lost.")
		}
		return err
	})
}

// copyIn fills the tables in one transaction, and lets numbering go on behind the
// highest number restored.
func copyIn(ctx context.Context, url string, archive *zip.Reader, m manifest) error {
	return connected(ctx, url, func(conn *pgx.Conn) error {
		return pgx.BeginFunc(ctx, conn, func(t pgx.Tx) error {
			for _, table := range backedUp {
				if m.Columns[table] == nil {
					continue // of a backup that is older than the table
				}
				entry, err := archive.Open(table + ".copy")
				if err != nil {
					return fmt.Errorf("table %s: %w", table, err)
				}
				_, err = t.Conn().PgConn().CopyFrom(ctx, entry, copyStatement(table, m.Columns[table], "FROM STDIN"))
				if err := errors.Join(err, entry.Close()); err != nil {
					return fmt.Errorf("table %s: %w", table, err)
				}
			}
			for table, column := range numbered {
				if m.Columns[table] == nil {
					continue
				}
				_, err := t.Exec(ctx, `SELECT setval(pg_get_serial_sequence($1, $2), (SELECT coalesce(max(`+
					pgx.Identifier{column}.Sanitize()+`), 0) + 1 FROM `+pgx.Identifier{table}.Sanitize()+`), false)`, table, column)
				if err != nil {
					return fmt.Errorf("numbering of %s: %w", table, err)
				}
			}
			return nil
		})
	})
}

// connected runs act on a connection of its own, with the rights of its user.
func connected(ctx context.Context, url string, act func(*pgx.Conn) error) (err error) {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	return act(conn)
}
