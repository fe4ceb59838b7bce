package localdb

import (
	"errors"
	"io/fs"
	"os"
	"os/user"
	"strconv"
)

// account is the user that Postgres runs as: this one, except that root, which
// Postgres refuses, is switched for another.
type account struct {
	switched bool
	uid, gid int // when switched
}

// accountFor chooses the account for a cluster: as root the owner of the
// cluster, before there is one the user postgres or else nobody.
func accountFor(cluster string) (account, error) {
	if os.Geteuid() != 0 {
		return account{}, nil
	}
	uid, gid, err := ownerOf(cluster)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return unprivileged()
	case err != nil:
		return account{}, say(err, "The owner of %s can't be found out.", cluster)
	case uid == 0:
		return account{}, say(nil, "The database folder %s belongs to root, as which Postgres refuses to run: give it to another user with chown -R.", cluster)
	}
	return account{switched: true, uid: uid, gid: gid}, nil
}

func unprivileged() (account, error) {
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, uidErr := strconv.Atoi(u.Uid)
		gid, gidErr := strconv.Atoi(u.Gid)
		if uidErr == nil && gidErr == nil && uid != 0 {
			return account{switched: true, uid: uid, gid: gid}, nil
		}
	}
	return account{}, say(nil, "Postgres refuses to run as root, and there is neither a user postgres nor a user nobody to run it as: make one with useradd postgres, or start Scumble as an ordinary user.")
}

// own gives a new folder to the account.
func (a account) own(path string) error {
	if !a.switched {
		return nil
	}
	return os.Chown(path, a.uid, a.gid)
}

// workFolder is an open folder that is lent to a program as its third file
// after the standard ones.
type workFolder struct {
	name string // what the program is to call it
	file *os.File
}

// openWorkFolder opens path for programs that run as a. Another account may be
// unable to reach the path, as below root's home, and is not to be given more
// rights than it needs; so it gets the open folder itself where the system
// allows, and enters through that.
func openWorkFolder(path string, a account) (*workFolder, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	name := path
	if a.switched && lentFolder != "" {
		name = lentFolder
	}
	return &workFolder{name: name, file: f}, nil
}
