// Package storetest gives each test a store on a database of its own.
//
// One throw-away Postgres serves a test process. It is started by the first test
// that asks, and holds a migrated template that is cloned per test, which takes
// some 35 ms where migrating takes half a second.
package storetest

import (
	"context"
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/localdb"
	"scumble/internal/store"
)

const template = "scumble_template"

var (
	start   = sync.OnceValues(startServer)
	started atomic.Pointer[localdb.Server]
	clones  atomic.Int64
)

// Main runs the tests of a package and then stops its Postgres. A package that
// uses storetest calls it from TestMain.
func Main(m *testing.M) {
	code := m.Run()
	if server := started.Load(); server != nil {
		if err := server.Stop(); err != nil {
			fmt.Fprintln(os.Stderr, "stop the Postgres of the tests:", err)
			code = max(code, 1)
		}
	}
	os.Exit(code)
}

// New opens a store on a clean, migrated database that goes away with the test.
func New(t testing.TB) *store.Store {
	t.Helper()
	return NewWith(t, store.Options{})
}

// NewWith is [New] with a clock or a log of the test's own.
func NewWith(t testing.TB, o store.Options) *store.Store {
	t.Helper()
	return Open(t, URL(t), o)
}

// Open opens a store on a database from [URL]; it closes with the test.
func Open(t testing.TB, url string, o store.Options) *store.Store {
	t.Helper()
	if o.MaxConns == 0 {
		o.MaxConns = 4 // parallel tests share the hundred connections of one server
	}
	s, err := store.Open(t.Context(), url, o)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

// URL makes a clean, migrated database that goes away with the test. Its user
// owns the cluster, so that a test may do what the program must not.
func URL(t testing.TB) string {
	t.Helper()
	return clone(t, template)
}

// EmptyURL is [URL] for a database that nobody has migrated.
func EmptyURL(t testing.TB) string {
	t.Helper()
	return clone(t, "template1")
}

func clone(t testing.TB, from string) string {
	t.Helper()
	server, err := start()
	if err != nil {
		missing(t, err)
	}
	name := fmt.Sprintf("scumble_test_%d", clones.Add(1))
	require.NoError(t, command(t.Context(), server, `CREATE DATABASE `+name+` TEMPLATE `+from))
	t.Cleanup(func() {
		// The test's own context has ended by now.
		if err := command(context.Background(), server, `DROP DATABASE `+name+` WITH (FORCE)`); err != nil {
			t.Errorf("drop %s: %v", name, err)
		}
	})
	return server.URL(name)
}

// missing skips a test that can't have its Postgres, unless the place where it
// runs has promised one: a check that silently tests nothing is worth nothing.
func missing(t testing.TB, err error) {
	t.Helper()
	if os.Getenv("SCUMBLE_REQUIRE") == "postgres" || os.Getenv("CI") == "true" {
		t.Fatalf("no Postgres for the tests: %v", err)
	}
	t.Skipf("no Postgres for the tests: %v", err)
}

func startServer() (*localdb.Server, error) {
	ctx := context.Background()
	server, err := localdb.Start(ctx, localdb.Options{Throwaway: true})
	if err != nil {
		return nil, err
	}
	started.Store(server)
	if err := command(ctx, server, `CREATE DATABASE `+template); err != nil {
		return nil, err
	}
	return server, store.Migrate(ctx, server.URL(template))
}

// command runs one statement from outside of any test's database.
func command(ctx context.Context, server *localdb.Server, sql string) error {
	conn, err := pgx.Connect(ctx, server.URL("postgres"))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, sql)
	return err
}

// Superuser connects to a database from [URL] as the owner of the cluster, for
// what the program itself may not do. It closes with the test.
func Superuser(t testing.TB, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close(context.Background()) })
	return conn
}
