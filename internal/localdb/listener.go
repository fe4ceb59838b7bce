package localdb

import (
	"bytes"
	"log/slog"
	"strings"
	"sync"
)

// listener takes down what Postgres says: every line goes to the log, the last
// few are kept to explain a failure. Postgres writes whole lines, so that a
// piece without an end of line is taken for one.
type listener struct {
	log *slog.Logger

	mu   sync.Mutex
	last string
}

// keptLines is enough for an error with its detail and hint.
const keptLines = 8

func (l *listener) Write(p []byte) (int, error) {
	for line := range bytes.Lines(p) {
		l.log.Debug("postgres says", "line", string(bytes.TrimSpace(line)))
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.last = lastLines(l.last+string(p), keptLines)
	return len(p), nil
}

// String returns the last lines.
func (l *listener) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.TrimSpace(l.last)
}

// lastLines returns the end of text, n lines at most.
func lastLines(text string, n int) string {
	lines := strings.SplitAfter(text, "\n")
	if lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return strings.Join(lines[max(0, len(lines)-n):], "")
}
