package bench

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// What differs by a time only is one cause; a piece is named once in each.
func TestTogetherSaysACauseOnce(t *testing.T) {
	t.Parallel()
	var c causes
	ash, door, other := restoration.ID{1}, restoration.ID{2}, restoration.ID{3}
	c.add(ash, "Ash tray", "It still hardened: 3 h 20 min later.")
	c.add(door, "Door", "It still hardened: 45 min later.")
	c.add(door, "Door", "Lot 12 is empty.")
	c.add(door, "Door", "Lot 13 is empty.")
	c.add(other, "Door", "Lot 13 is empty.")
	c.add(ash, "Ash tray", "It still hardened: 3 h 20 min later.")
	require.Equal(t, []string{
		"2 pieces (Ash tray; Door): It still hardened: 3 h 20 min later.",
		"Door: Lot 12 is empty.", "2 pieces (Door): Lot 13 is empty.",
	}, c.words(4))
	for n := range 9 {
		c.add(restoration.ID{9, byte(n)}, strconv.Itoa(n), "Lot 12 is empty.")
	}
	require.Equal(t, "10 pieces (Door; 0; 1; 2; 3; 4 and 4 more): Lot 12 is empty.", c.words(11)[1])
	var one causes
	one.add(ash, "Ash tray", "Lot 1 is empty.")
	require.Equal(t, "All 10 pieces: Lot 12 is empty.", c.words(10)[1], "no name says more")
	require.Equal(t, "Ash tray: Lot 1 is empty.", one.words(1)[0], "one piece is named")
	require.Equal(t, []string{"It still hardened: 3 h 20 min later.", "Lot 12 is empty.", "Lot 13 is empty."}, c.sentences())
}
