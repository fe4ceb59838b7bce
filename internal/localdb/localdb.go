// Package localdb runs a private Postgres for a shop that has named no
// database of its own, and throw-away ones for tests.
//
// It finds the Postgres programs on the machine or fetches them once, makes
// the cluster with an empty database called scumble, starts it, mends what a
// crash left behind, and stops it with the program. The server listens on a
// unix socket only, in a folder that nobody else can enter; behind that door
// connections are trusted. What stands in the database is left to the caller:
// this package sends no SQL but CREATE DATABASE and opens no pool.
package localdb

import (
	"context"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// Database is the name of the empty database that a new cluster comes with.
const Database = "scumble"

// Options for Start.
type Options struct {
	// Dir is the data folder; the cluster lives in Dir/postgres. It is made
	// when it does not exist.
	Dir string
	// Throwaway asks for a fresh cluster in the system's temporary folder,
	// with no care for durability, that Stop removes. Dir is ignored.
	Throwaway bool
	// Log receives what Postgres says, at debug level, and its unexpected
	// end. Nil discards.
	Log *slog.Logger
	// RepositoryURL is where the Postgres programs are fetched from when this
	// machine has none. Empty means the usual place.
	RepositoryURL string

	folders []string      // where programs are looked for; nil: PATH and the usual folders
	cache   string        // where fetched programs are kept; empty: the user's cache
	stops   []stop        // how Stop insists; nil: patiently
	healing time.Duration // how long leftovers of a crash may delay a start; 0: half a minute
}

// Server is a running private Postgres. Its methods may be called from several
// goroutines.
type Server struct {
	hold      *hold
	cluster   *cluster
	sockets   string // the folder that holds the socket
	process   *process
	stops     []stop
	log       *slog.Logger
	throwaway bool

	stopping sync.Once
	stopErr  error
}

// Start brings up the private Postgres of a data folder and returns when it
// answers. ctx bounds the start only: the server runs on until Stop, or until
// this program ends in whatever way. The error is a sentence for a person; it
// is an AlreadyRunningError when another program serves the folder.
func Start(ctx context.Context, o Options) (*Server, error) {
	if err := supported(); err != nil {
		return nil, err
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Throwaway {
		dir, err := makeThrowawayDir()
		if err != nil {
			return nil, err
		}
		o.Dir = dir
	}
	if o.Dir == "" {
		return nil, say(nil, "No data folder is named: name one with --data-dir.")
	}
	s := &Server{throwaway: o.Throwaway, log: o.Log, stops: o.stops}
	if err := s.start(ctx, o); err != nil {
		// What hinders the start is what a person needs to read; a failure to
		// tidy up after it says nothing more.
		_ = s.Stop()
		if o.Throwaway {
			_ = os.RemoveAll(o.Dir)
		}
		return nil, err
	}
	return s, nil
}

func (s *Server) start(ctx context.Context, o Options) (err error) {
	dir, err := filepath.Abs(o.Dir)
	if err != nil {
		return say(err, "The data folder %s can't be found.", o.Dir)
	}
	if s.hold, err = take(dir); err != nil {
		return err
	}
	if s.cluster, err = openCluster(ctx, dir, o); err != nil {
		return err
	}
	if s.sockets, err = makeSocketFolder(s.cluster.account); err != nil {
		return err
	}
	if s.process, err = s.cluster.start(ctx, s.sockets, o); err != nil {
		return err
	}
	go s.watch()
	return s.hold.write(note{PID: os.Getpid(), Sockets: s.sockets})
}

// watch tells the log when Postgres ends.
func (s *Server) watch() {
	<-s.process.done
	if s.process.asked.Load() {
		s.log.Debug("postgres has stopped", "cluster", s.cluster.path)
		return
	}
	s.log.Error("postgres has ended unasked", "cluster", s.cluster.path, "status", s.process.err, "last", s.process.said.String())
}

// URL returns the address of a database of this server. Whether the database
// exists is not looked at.
func (s *Server) URL(database string) string {
	return socketURL(s.sockets, database)
}

// Done is closed when the Postgres process has ended, whether asked to by Stop
// or by itself. Stop is still to be called then.
func (s *Server) Done() <-chan struct{} {
	return s.process.done
}

// Stop ends the server and frees the data folder for another. It asks Postgres
// to break off open connections and write everything down, which takes a
// moment, and insists after ten seconds. Once it has returned, further calls
// do nothing and return the same.
func (s *Server) Stop() error {
	s.stopping.Do(func() { s.stopErr = s.stop() })
	return s.stopErr
}

func (s *Server) stop() error {
	var errs []error
	if s.process != nil {
		// First, so that no command attaches to a server that is going away.
		errs = append(errs, s.hold.write(note{PID: os.Getpid()}))
		errs = append(errs, s.process.stop(s.stops))
	}
	if s.sockets != "" {
		errs = append(errs, os.RemoveAll(s.sockets))
	}
	if s.cluster != nil {
		errs = append(errs, s.cluster.close())
	}
	if s.throwaway && s.hold != nil {
		errs = append(errs, os.RemoveAll(s.hold.dir))
	}
	if s.hold != nil {
		errs = append(errs, s.hold.release())
	}
	if err := errors.Join(errs...); err != nil {
		return say(err, "The private Postgres did not stop cleanly.")
	}
	return nil
}
