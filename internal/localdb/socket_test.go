//go:build unix

package localdb

import (
	"io"
	"net"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestProbe(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, answer string
		ready        bool
	}{
		{"lets us in", "R\x00\x00\x00\x08\x00\x00\x00\x00", true},
		{"still replaying its log", "E\x00\x00\x00\x04", false},
		{"something else", "HTTP/1.1 400 Bad Request\r\n", false},
		{"hangs up", "", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			sockets, err := makeSocketFolder(account{})
			require.NoError(t, err)
			t.Cleanup(func() { require.NoError(t, os.RemoveAll(sockets)) })
			require.Error(t, probe(sockets), "nobody there")

			listener, err := net.Listen("unix", socketPath(sockets))
			require.NoError(t, err)
			asked := make(chan []byte, 1)
			go func() {
				conn, err := listener.Accept()
				if err != nil {
					return
				}
				defer conn.Close()
				question := make([]byte, len(startupMessage(superuser, superuser)))
				_, _ = io.ReadFull(conn, question)
				asked <- question
				_, _ = io.WriteString(conn, tc.answer)
			}()
			t.Cleanup(func() { _ = listener.Close() })

			require.Equal(t, tc.ready, probe(sockets) == nil)
			// Length 4 + version 4 + four words with their ends 5 + 9 + 9 + 9 + last end 1 = 41.
			require.Equal(t, "\x00\x00\x00\x29\x00\x03\x00\x00user\x00postgres\x00database\x00postgres\x00\x00", string(<-asked))
		})
	}
}

func TestLastLines(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		text string
		n    int
		want string
	}{
		{"", 2, ""}, {"one", 2, "one"}, {"a\nb\nc\n", 2, "b\nc\n"}, {"a\nb\nc", 2, "b\nc"}, {"a\nb\n", 2, "a\nb\n"},
	} {
		require.Equal(t, tc.want, lastLines(tc.text, tc.n), "%q", tc.text)
	}
}

// Taken down piece by piece, the last lines are those of the whole.
func TestListenerKeepsTheLastLines(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pieces := rapid.SliceOf(rapid.StringMatching(`[a-c\n]{0,8}`)).Draw(t, "pieces")
		whole, kept := "", ""
		for _, piece := range pieces {
			whole += piece
			kept = lastLines(kept+piece, 3)
		}
		require.Equal(t, lastLines(whole, 3), kept)
	})
}
