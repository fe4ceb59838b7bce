package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/store/storetest"
)

// shell runs commands on one database.
type shell struct {
	t        *testing.T
	database string
}

func (s shell) does(in string, args ...string) string {
	s.t.Helper()
	out, errs, err := execute(s.t, in, append(args, "--database-url", s.database)...)
	require.NoError(s.t, err, errs)
	return out
}

func (s shell) refuses(says, in string, args ...string) {
	s.t.Helper()
	_, _, err := execute(s.t, in, append(args, "--database-url", s.database)...)
	require.ErrorContains(s.t, err, says)
}

// What the owner changes of people in the office can be changed by command.
func TestPeopleByCommand(t *testing.T) {
	t.Parallel()
	s := shell{t, storetest.URL(t)}
	require.Equal(t, "1\towner\tOlga\n", s.does("grey geese walk\n", "person", "add", "Olga", "--role", "owner"))
	require.Equal(t, "2\ttechnician\tTom\n", s.does("8305\n", "person", "add", "Tom"))
	s.refuses("the only owner", "8306\n", "person", "role", "1", "technician")
	s.refuses("the only owner", "", "person", "left", "1")
	s.refuses("standard input", "", "person", "role", "2", "owner")
	s.does("brown hens run\n", "person", "role", "2", "owner")
	s.does("", "person", "rename", "2", "Tom Reed")
	require.Regexp(t, `(?m)^1 +owner +Olga +at work\n2 +owner +Tom Reed +at work$`, s.does("", "person", "list"))
	s.does("", "person", "role", "2", "technician")
	s.does("", "person", "left", "2")
	require.Regexp(t, `\n2 +technician +Tom Reed +left \d{4}-\d\d-\d\d\n$`, s.does("", "person", "list"))
	s.does("", "person", "back", "2")
	require.Regexp(t, `\n2 +technician +Tom Reed +at work\n$`, s.does("", "person", "list"))
}

// A link's choices change under the address that it has.
func TestLinksByCommand(t *testing.T) {
	t.Parallel()
	s := shell{t, storetest.URL(t)}
	s.does("work_order,car\n26-014,1936 Brennick Eight\n", "import", "cars", "-")
	s.does("", "link", "add", "--car", "26-014", "--show-name")
	require.Regexp(t, `\n1 +until \S+ +not opened yet +stages, name\n$`, s.does("", "link", "list", "--car", "26-014"))
	before := s.does("", "link", "list", "--car", "26-014")
	s.does("", "link", "change", "1", "--car", "26-014", "--show-hours", "--no-show-name", "--days", "10")
	after := s.does("", "link", "list", "--car", "26-014")
	require.Regexp(t, `\n1 +until \S+ +not opened yet +stages, hours\n$`, after)
	require.NotEqual(t, before, after)
	s.does("", "link", "change", "1", "--car", "26-014")
	require.Equal(t, after, s.does("", "link", "list", "--car", "26-014"), "what is not named stays")
	s.refuses("no link 9", "", "link", "change", "9", "--car", "26-014")
	s.refuses("--days must be from 1", "", "link", "change", "1", "--car", "26-014", "--days", "0")
	s.does("", "link", "revoke", "1")
	s.refuses("can't be undone", "", "link", "change", "1", "--car", "26-014", "--show-name")
}
