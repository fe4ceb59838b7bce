package access

import (
	"strings"
	"unicode/utf8"

	"scumble/internal/restoration"
)

// Lengths of a PIN and a password, in signs.
const (
	MinPIN, MaxPIN           = 4, 8
	MinPassword, MaxPassword = 10, 200
)

// CheckPIN refuses, as a [restoration.Problem] at the field "pin", what can't be a
// PIN or is what anybody would try first.
func CheckPIN(pin string) error {
	switch {
	case strings.Trim(pin, "0123456789") != "":
		return pinProblem("A PIN has digits only: type 4 to 8 of them, with no blanks.")
	case len(pin) < MinPIN || len(pin) > MaxPIN:
		return pinProblem("A PIN has 4 to 8 digits.")
	case guessable(pin):
		return pinProblem("That PIN is among the first that anybody would try: don't repeat or count, choose another.")
	}
	return nil
}

func pinProblem(sentence string) error {
	return restoration.Problemf(restoration.TroubleInvalid, "pin", "%s", sentence)
}

// guessable tells whether the digits repeat in ones or twos (0000, 1212) or count up
// or down (1234, 9876, 7890).
func guessable(pin string) bool {
	up, down, ones, twos := true, true, true, true
	for i := 1; i < len(pin); i++ {
		step := (pin[i] - pin[i-1] + 10) % 10
		up = up && step == 1
		down = down && step == 9
		ones = ones && step == 0
		twos = twos && (i < 2 || pin[i] == pin[i-2])
	}
	return up || down || ones || twos
}

// CheckPassword refuses, as a [restoration.Problem] at the field "password", what is
// too short, too long or hardly varied. It asks for no special signs: length is what
// helps (NIST SP 800-63B, 5.1.1.2).
func CheckPassword(password string) error {
	n := utf8.RuneCountInString(password)
	switch {
	case !utf8.ValidString(password):
		return passwordProblem("The password holds characters that can't be read: type it again.")
	case n < MinPassword:
		return passwordProblem("A password has at least 10 characters: three or four words together are easy to keep in mind.")
	case n > MaxPassword:
		return passwordProblem("A password has at most 200 characters.")
	case different(password) < 4:
		return passwordProblem("That password repeats the same few characters: use at least 4 different ones.")
	}
	return nil
}

func passwordProblem(sentence string) error {
	return restoration.Problemf(restoration.TroubleInvalid, "password", "%s", sentence)
}

func different(s string) int {
	seen := map[rune]bool{}
	for _, r := range s {
		seen[r] = true
	}
	return len(seen)
}

// CheckMayEnter refuses a person who is locked or has left, whatever they type: the
// right PIN doesn't open either. It is asked before the secret is looked at.
func CheckMayEnter(p restoration.Person) error {
	switch {
	case !p.LeftAt.IsZero():
		return restoration.Problemf(restoration.TroubleForbidden, "", "%s no longer works here.", p.Name)
	case !p.LockedAt.IsZero():
		return restoration.Problemf(restoration.TroubleForbidden, "",
			"%s is locked after %d wrong tries in a row: an owner can unlock them on the page People.", p.Name, restoration.MaxMisses)
	}
	return nil
}
