package main

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// statement is one that the store sent, with its arguments.
type statement struct {
	sql   string
	args  []any
	batch int // statements of one batch share a number above 0
}

// recorder notes what the store sends, so that the other side of a ratio is the
// program's own SQL and can't drift from it.
type recorder struct {
	mu      sync.Mutex
	noted   []statement
	batches int
}

// take gives what was noted since the last call.
func (r *recorder) take() []statement {
	r.mu.Lock()
	defer r.mu.Unlock()
	noted := r.noted
	r.noted = nil
	return noted
}

// TraceQueryStart is called by pgx for every statement outside of a batch.
func (r *recorder) TraceQueryStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.noted = append(r.noted, statement{sql: d.SQL, args: d.Args})
	return ctx
}

// TraceQueryEnd is called by pgx; there is nothing to note.
func (r *recorder) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

// TraceBatchStart is called by pgx before the statements of a batch.
func (r *recorder) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.batches++
	return ctx
}

// TraceBatchQuery is called by pgx for every statement of a batch.
func (r *recorder) TraceBatchQuery(_ context.Context, _ *pgx.Conn, d pgx.TraceBatchQueryData) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.noted = append(r.noted, statement{sql: d.SQL, args: d.Args, batch: r.batches})
}

// TraceBatchEnd is called by pgx; there is nothing to note.
func (r *recorder) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// substitution tells which values stand for an expression of a script.
type substitution struct {
	ids   map[restoration.ID]string
	carID int64
	car   string
}

// inline writes a statement with its arguments in their places, as a script needs it.
func (s statement) inline(sub substitution) (string, error) {
	sql := strings.Join(strings.Fields(s.sql), " ")
	// From the last, so that $1 doesn't take the head of $12.
	for i := len(s.args); i > 0; i-- {
		value, err := sub.literal(s.args[i-1])
		if err != nil {
			return "", fmt.Errorf("argument %d of %.60s…: %w", i, sql, err)
		}
		sql = strings.ReplaceAll(sql, "$"+strconv.Itoa(i), value)
	}
	return sql, nil
}

// literal writes a value as SQL. The type of a null is left to its place.
func (sub substitution) literal(v any) (string, error) {
	if p := reflect.ValueOf(v); p.Kind() == reflect.Pointer {
		if p.IsNil() {
			return "NULL", nil
		}
		return sub.literal(p.Elem().Interface())
	}
	switch v := v.(type) {
	case restoration.ID:
		return sub.id(v), nil
	case int64:
		if v == sub.carID {
			return sub.car, nil
		}
		return strconv.FormatInt(v, 10), nil
	case restoration.Payload:
		document, err := json.Marshal(v)
		return quote(string(document)) + "::jsonb", err
	case time.Time:
		return quote(v.Format(time.RFC3339Nano)) + "::timestamptz", nil
	case string:
		return quote(v), nil
	case restoration.Minutes:
		return strconv.Itoa(int(v)), nil
	case int, bool:
		return fmt.Sprint(v), nil
	}
	return "", fmt.Errorf("no way to write a %T", v)
}

func (sub substitution) id(id restoration.ID) string {
	switch expression, ok := sub.ids[id]; {
	case ok:
		return expression
	case id.IsZero():
		return "NULL"
	}
	return quote(id.String()) + "::uuid"
}

func quote(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }
