package bench

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// tileWhys is what the tiles of a list say of their pieces, a line each.
func tileWhys(body string) string {
	var list []string
	for _, m := range regexp.MustCompile(`<span class="why[^>]*>([^<]*)`).FindAllStringSubmatch(body, -1) {
		list = append(list, m[1])
	}
	return strings.Join(list, "\n")
}

// A piece in hand says from when it may be coated again, and that it cures or hardens.
func TestAPieceInHandSaysUntilWhenItsCoatWaits(t *testing.T) {
	t.Parallel()
	s := setup(t)
	clear := s.clearNext("Ash tray")[coating.Clear]
	b := s.signIn(s.ada)
	said := func(want string) {
		t.Helper()
		for _, list := range []string{"/bench", "/bench/hand"} {
			require.Regexp(t, want, tileWhys(b.get(list).body), list)
		}
	}
	flash, _ := clear.WaitsAt(20, 2)
	s.spray("Ash tray", clear, 1, 0)
	said("in hand since 09:00, next coat from " + s.clock().Add(time.Duration(flash.Flash)*time.Minute).Format("15:04"))
	s.pass(time.Duration(flash.Flash) * time.Minute)
	said("(?m)in hand since 09:00$")
	s.spray("Ash tray", clear, 2, 0)
	said("in hand since 09:00, cures until ")
	s.pass(16 * time.Hour)
	for i := range 2 {
		s.spray("Ash tray", clear, i+3, 0)
	}
	said("in hand since 27 Mar 09:00, hardens until ")
	s.pass(8 * 24 * time.Hour)
	said("(?m)in hand since 27 Mar 09:00$")
}
