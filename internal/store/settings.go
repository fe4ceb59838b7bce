package store

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"
	"sync/atomic"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// Settings gives the shop's settings. What a document of an older program doesn't
// know is as in [restoration.StockSettings].
func (s *Store) Settings(ctx context.Context) (v restoration.Settings, err error) {
	defer wrap(&err, "read the settings")
	return readSettings(ctx, s.pool, `SELECT document FROM settings`)
}

func readSettings(ctx context.Context, from asker, sql string) (restoration.Settings, error) {
	rows, err := from.Query(ctx, sql)
	if err != nil {
		return restoration.Settings{}, err
	}
	v, err := pgx.CollectExactlyOneRow(rows, toSettings)
	if noRow(err) {
		return restoration.StockSettings(), nil
	}
	return v, err
}

// toSettings reads a document of settings, which need not know all of them.
func toSettings(row pgx.CollectableRow) (restoration.Settings, error) {
	var document []byte
	if err := row.Scan(&document); err != nil {
		return restoration.StockSettings(), err
	}
	if known := latestSettings.Load(); known != nil && bytes.Equal(known.document, document) {
		return own(known.settings), nil
	}
	v := restoration.StockSettings()
	err := json.Unmarshal(document, &v)
	if err == nil {
		latestSettings.Store(&knownSettings{document, own(v)})
	}
	return v, err
}

// latestSettings are those that were read last: every request reads them, and they hardly
// ever change.
var latestSettings atomic.Pointer[knownSettings]

type knownSettings struct {
	document []byte
	settings restoration.Settings
}

// own gives settings that share nothing with others.
func own(v restoration.Settings) restoration.Settings {
	v.Calendar.Holidays = slices.Clone(v.Calendar.Holidays)
	return v
}

// SaveSettings keeps the shop's settings. What [restoration.Settings.Check] finds is
// refused, the first fault as a Problem.
func (s *Store) SaveSettings(ctx context.Context, by restoration.Actor, v restoration.Settings) (err error) {
	defer wrap(&err, "save the settings")
	v.ShopName = restoration.TidyName(v.ShopName)
	if zone, ok := restoration.FindTimeZone(v.TimeZone); ok {
		v.TimeZone = zone
	}
	if found := v.Check(); len(found) > 0 {
		return found[0]
	}
	return s.change(ctx, func(t tx) error {
		before, err := readSettings(ctx, t, `SELECT document FROM settings FOR UPDATE`)
		if err != nil {
			return err
		}
		if err := writeSettings(ctx, t, v); err != nil {
			return err
		}
		if err := audit(ctx, t, by, deed{act: restoration.ActChangeSettings, subject: "settings", before: before, after: v}); err != nil {
			return err
		}
		return notify(ctx, t, 0)
	})
}

func writeSettings(ctx context.Context, t tx, v restoration.Settings) error {
	kept, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = t.Exec(ctx, `
		INSERT INTO settings (document, changed_at) VALUES ($1, $2)
		ON CONFLICT (only_row) DO UPDATE SET document = excluded.document, changed_at = excluded.changed_at`, kept, t.now)
	return err
}
