package web

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"
)

// No page may use the camera but one that asks for it.
func TestCameraIsShutUnlessAllowed(t *testing.T) {
	t.Parallel()
	for want, page := range map[string]http.HandlerFunc{
		"camera=(), geolocation=(), microphone=(), payment=()":     func(http.ResponseWriter, *http.Request) {},
		"camera=(self), geolocation=(), microphone=(), payment=()": func(w http.ResponseWriter, _ *http.Request) { AllowCamera(w) },
	} {
		w := httptest.NewRecorder()
		Guard(page).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/", nil))
		require.Equal(t, want, w.Header().Get("Permissions-Policy"))
	}
}
