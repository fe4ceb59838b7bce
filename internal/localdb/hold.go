package localdb

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
)

// errHeld is what tryLock returns when another open file holds the lock.
var errHeld = errors.New("held by another program")

// hold is this program's claim to a data folder: a locked file in it. The
// system frees the lock when the program ends, however it ends, so that a
// claim is never stale. The file stays: removing it would let two programs
// lock two files of one name.
type hold struct {
	dir  string
	file *os.File
}

// note is what the lock file says to other commands.
type note struct {
	PID     int    `json:"pid"`               // the program that holds the folder
	Sockets string `json:"sockets,omitempty"` // the folder of its socket, once Postgres answers
}

func lockPath(dir string) string { return filepath.Join(dir, "scumble.lock") }

// take claims dir, making it where needed.
func take(dir string) (*hold, error) {
	const sentence = "The data folder %s can't be written: name another with --data-dir, or set its rights so that this user may write there."
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, say(err, sentence, dir)
	}
	f, err := os.OpenFile(lockPath(dir), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, say(err, sentence, dir)
	}
	if err := tryLock(f); err != nil {
		_ = f.Close()
		if errors.Is(err, errHeld) {
			return nil, &AlreadyRunningError{Dir: dir, PID: readNote(dir).PID}
		}
		return nil, say(err, "The data folder %s can't be locked: name one on a disk of this machine with --data-dir.", dir)
	}
	h := &hold{dir: dir, file: f}
	// Whatever the last holder left is of no use now; its socket folder would
	// be left behind for good by a crash.
	if left := readNote(dir).Sockets; left != "" && isSocketFolder(left) {
		_ = os.RemoveAll(left)
	}
	return h, h.write(note{PID: os.Getpid()})
}

// write replaces what the lock file says.
func (h *hold) write(n note) error {
	text, err := json.Marshal(n)
	if err != nil {
		return err
	}
	if err := h.file.Truncate(0); err != nil {
		return say(err, "The lock file in %s can't be written.", h.dir)
	}
	if _, err := h.file.WriteAt(text, 0); err != nil {
		return say(err, "The lock file in %s can't be written.", h.dir)
	}
	return nil
}

func (h *hold) release() error {
	// Empty, so that a later reader finds no process by that number.
	return errors.Join(h.file.Truncate(0), h.file.Close())
}

// readNote returns what the lock file says; the zero note when it says nothing
// that can be read, as in the moment of a change.
func readNote(dir string) note {
	f, err := os.Open(lockPath(dir))
	if err != nil {
		return note{}
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, 4096))
	if err != nil {
		return note{}
	}
	var n note
	if err := json.Unmarshal(text, &n); err != nil {
		return note{}
	}
	return n
}

// Running reports whether a program serves the data folder and its Postgres
// answers; url then gives the address of a database of that server.
func Running(dir string) (url func(database string) string, ok bool) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, false
	}
	sockets := readNote(dir).Sockets
	// After a crash the note may outlive the folder it names, and in a shared
	// temporary folder somebody else could make one by that name: only believe
	// in a folder whose owner owns the cluster too.
	if sockets == "" || !sameOwner(sockets, clusterPath(dir)) || probe(sockets) != nil {
		return nil, false
	}
	return func(database string) string { return socketURL(sockets, database) }, true
}

// Exists tells whether a data folder holds a cluster, running or not.
func Exists(dir string) bool {
	_, err := os.Stat(filepath.Join(clusterPath(dir), "PG_VERSION"))
	return err == nil
}
