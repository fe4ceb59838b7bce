package web

import "net/http"

// policy forbids everything that does not come from the program itself, and every
// inline script and style.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; " +
	"base-uri 'none'; frame-ancestors 'none'"

// Guard sets the headers that every answer carries.
func Guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Permissions-Policy", permissions("()"))
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		next.ServeHTTP(w, r)
	})
}

// AllowCamera lets the page that is answered use the camera.
func AllowCamera(w http.ResponseWriter) { w.Header().Set("Permissions-Policy", permissions("(self)")) }

// permissions shuts off what no page needs; camera says who may use that.
func permissions(camera string) string {
	return "camera=" + camera + ", geolocation=(), microphone=(), payment=()"
}
