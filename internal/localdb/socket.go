package localdb

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"
)

const (
	superuser = "postgres"
	// port is only part of the socket's file name: the folder is private.
	port = "5432"
	// maxSocketPath is what fits into the system's socket address, in bytes:
	// 107 on Linux, 103 on the BSDs and macOS.
	maxSocketPath = 103

	socketFolderPrefix = "scumble-socket-"
)

// makeSocketFolder makes the folder of the socket, which only a and root can
// enter: connections through it are trusted. It does not lie in the data
// folder, whose path may be longer than a socket's may be.
func makeSocketFolder(a account) (string, error) {
	base := os.TempDir()
	const digits = 10 // the most that MkdirTemp adds
	longest := len(base) + len("/"+socketFolderPrefix) + digits + len("/.s.PGSQL."+port)
	// Another account can't be expected to reach a temporary folder of ours.
	if longest > maxSocketPath || a.switched {
		base = "/tmp"
	}
	dir, err := os.MkdirTemp(base, socketFolderPrefix)
	if err != nil {
		return "", say(err, "No folder for the database's socket can be made in %s: make that folder writable.", base)
	}
	if err := a.own(dir); err != nil {
		_ = os.RemoveAll(dir)
		return "", err
	}
	return dir, nil
}

// isSocketFolder reports whether makeSocketFolder could have made dir; what is
// removed on the word of a file should at least look like ours.
func isSocketFolder(dir string) bool {
	return filepath.IsAbs(dir) && strings.HasPrefix(filepath.Base(dir), socketFolderPrefix)
}

func socketPath(sockets string) string { return filepath.Join(sockets, ".s.PGSQL."+port) }

func socketURL(sockets, database string) string {
	q := url.Values{"host": {sockets}, "port": {port}, "sslmode": {"disable"}}
	// pgx reads a plus sign in a query as a plus sign.
	query := strings.ReplaceAll(q.Encode(), "+", "%20")
	u := url.URL{Scheme: "postgres", User: url.User(superuser), Path: "/" + database, RawQuery: query}
	return u.String()
}

// errNotReady is probe's answer while Postgres is still replaying its log.
var errNotReady = errors.New("postgres is not ready yet")

// probe asks the server behind the socket whether it lets us in. It speaks the
// first words of Postgres's frontend/backend protocol 3.0 (PostgreSQL manual,
// "Message Flow", "Start-up"), because being able to connect says little: a
// server in recovery accepts the connection and then refuses.
func probe(sockets string) error {
	const patience = 2 * time.Second
	conn, err := net.DialTimeout("unix", socketPath(sockets), patience)
	if err != nil {
		return err
	}
	defer conn.Close()
	if err := conn.SetDeadline(time.Now().Add(patience)); err != nil {
		return err
	}
	if _, err := conn.Write(startupMessage(superuser, superuser)); err != nil {
		return err
	}
	answer := make([]byte, 1)
	if _, err := io.ReadFull(conn, answer); err != nil {
		return err
	}
	switch answer[0] {
	case 'R': // authentication: we are in
		_, _ = conn.Write([]byte{'X', 0, 0, 0, 4}) // terminate, so that the log shows no broken connection
		return nil
	case 'E':
		return errNotReady
	default:
		return fmt.Errorf("not a Postgres: answered %q", answer)
	}
}

func startupMessage(user, database string) []byte {
	body := binary.BigEndian.AppendUint32(nil, 3<<16) // protocol 3.0
	for _, word := range []string{"user", user, "database", database, ""} {
		body = append(append(body, word...), 0)
	}
	message := binary.BigEndian.AppendUint32(nil, uint32(4+len(body)))
	return append(message, body...)
}
