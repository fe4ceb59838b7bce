//go:build !(linux || darwin || freebsd || netbsd || openbsd)

package localdb

import (
	"errors"
	"os"
	"syscall"
)

const (
	locale     = "C"
	lentFolder = ""
)

func supported() error {
	return say(nil, "The private Postgres doesn't run on this system: start one yourself and name it with --database-url.")
}

// Start ends with supported's sentence before any of these is called, and a
// data folder that was never started is never found running.

func tryLock(*os.File) error                     { return errors.ErrUnsupported }
func ownerOf(string) (uid, gid int, err error)   { return 0, 0, errors.ErrUnsupported }
func sameOwner(string, string) bool              { return false }
func (account) attributes() *syscall.SysProcAttr { return nil }
func (stop) send(int) error                      { return errors.ErrUnsupported }
func alive(int) bool                             { return false }
func worksOn(int, string) bool                   { return false }
