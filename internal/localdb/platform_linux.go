package localdb

import (
	"fmt"
	"os"
	"syscall"
)

const (
	// locale sorts by code point and knows the letters of every language; it is
	// part of the C library.
	locale = "C.UTF-8"
	// lentFolder is how a child names the first file lent to it. The kernel
	// enters that folder without walking a path to it.
	lentFolder = "/proc/self/fd/3"
)

func setDeathSignal(attr *syscall.SysProcAttr, s syscall.Signal) { attr.Pdeathsig = s }

// worksOn reports whether a process has the folder as its working directory, as
// every process of Postgres has its cluster.
func worksOn(pid int, folder string) bool {
	here, err := os.Stat(fmt.Sprintf("/proc/%d/cwd", pid))
	if err != nil {
		return false
	}
	there, err := os.Stat(folder)
	return err == nil && os.SameFile(here, there)
}
