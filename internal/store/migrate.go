package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"

	"github.com/golang-migrate/migrate/v4"
	migratepgx "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"scumble/migrations"
)

// Migrate brings the database at url to the form that this program knows, and
// gives a new one the stock route and the stock settings. It works with the
// rights of the connecting user. A database that is up to date is left alone.
func Migrate(ctx context.Context, url string) (err error) {
	defer wrap(&err, "migrate the database")
	if err := eachMigration(ctx, url, (*migrate.Migrate).Up); err != nil {
		return err
	}
	return stockUp(ctx, url)
}

// Unmigrate takes the database at url back to empty: everything in it is lost.
func Unmigrate(ctx context.Context, url string) (err error) {
	defer wrap(&err, "take the database back")
	return eachMigration(ctx, url, (*migrate.Migrate).Down)
}

// eachMigration runs act on url and lets go of every connection, so that the
// database may be cloned or dropped right after.
func eachMigration(ctx context.Context, url string, act func(*migrate.Migrate) error) (err error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return err
	}
	db := stdlib.OpenDB(*config)
	m, err := newMigrate(ctx, db)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	defer func() {
		fromSource, fromDatabase := m.Close()
		err = errors.Join(err, fromSource, fromDatabase)
	}()
	if err := act(m); !errors.Is(err, migrate.ErrNoChange) {
		return err
	}
	return nil
}

func newMigrate(ctx context.Context, db *sql.DB) (*migrate.Migrate, error) {
	if err := db.PingContext(ctx); err != nil {
		return nil, err
	}
	source, err := iofs.New(migrations.FS, ".")
	if err != nil {
		return nil, err
	}
	driver, err := migratepgx.WithInstance(db, &migratepgx.Config{})
	if err != nil {
		return nil, err
	}
	return migrate.NewWithInstance("embedded", source, "pgx5", driver)
}

// newestMigration gives the version that the embedded migrations lead to.
func newestMigration() (int64, error) {
	files, err := fs.Glob(migrations.FS, "*.up.sql")
	if err != nil || len(files) == 0 {
		return 0, fmt.Errorf("list the embedded migrations: %d found: %w", len(files), err)
	}
	var version int64
	// Glob sorts by name, and names are numbered with leading zeros.
	_, err = fmt.Sscanf(files[len(files)-1], "%d_", &version)
	return version, err
}
