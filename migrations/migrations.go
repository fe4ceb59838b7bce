// Package migrations embeds the numbered SQL pairs that golang-migrate runs.
// A pair that has landed is never changed; a change is a new pair.
package migrations

import "embed"

// FS holds every NNNNNN_name.up.sql and .down.sql.
//
//go:embed *.sql
var FS embed.FS
