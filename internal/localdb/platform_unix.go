//go:build linux || darwin || freebsd || netbsd || openbsd

package localdb

import (
	"errors"
	"os"
	"syscall"
)

func supported() error { return nil }

// tryLock locks an open file until it is closed or this program ends. The lock
// is not inherited by children, as Go closes its files in them.
func tryLock(f *os.File) error {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return errHeld
	}
	return err
}

func ownerOf(path string) (uid, gid int, err error) {
	var st syscall.Stat_t
	if err := syscall.Stat(path, &st); err != nil {
		return 0, 0, &os.PathError{Op: "stat", Path: path, Err: err}
	}
	return int(st.Uid), int(st.Gid), nil
}

func sameOwner(a, b string) bool {
	uidA, _, errA := ownerOf(a)
	uidB, _, errB := ownerOf(b)
	return errA == nil && errB == nil && uidA == uidB
}

// attributes are those of a child that runs as a, out of reach of the
// terminal's Ctrl-C, and that is interrupted when this program ends: a server
// then breaks off its connections and writes everything down.
func (a account) attributes() *syscall.SysProcAttr {
	attr := &syscall.SysProcAttr{Setpgid: true}
	if a.switched {
		attr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}
	}
	setDeathSignal(attr, syscall.SIGINT)
	return attr
}

func (s stop) send(pid int) error {
	if s.group {
		pid = -pid
	}
	err := syscall.Kill(pid, s.signal)
	if errors.Is(err, syscall.ESRCH) {
		return nil // gone already; whoever waits for it will learn so
	}
	return err
}

// alive reports whether there is a process of that number, of whatever user.
func alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
