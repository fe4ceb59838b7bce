package web

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTypedKeepsAllButSecrets(t *testing.T) {
	t.Parallel()
	form := url.Values{"pin": {"7306"}, "password": {"secret"}, "note": {"kept"}, "checks": {"dry", "clean"}}
	require.Equal(t, []TypedField{{"checks", "dry"}, {"checks", "clean"}, {"note", "kept"}}, Typed(form))
	require.Empty(t, Typed(nil))
}
