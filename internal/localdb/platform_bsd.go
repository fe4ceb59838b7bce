//go:build darwin || freebsd || netbsd || openbsd

package localdb

import (
	"os/exec"
	"strconv"
	"strings"
	"syscall"
)

const (
	locale     = "en_US.UTF-8"
	lentFolder = "" // no such door here: root's folders must be open to the account
)

// setDeathSignal can do nothing here: a Postgres whose program was killed runs
// on until the next start on its folder ends it.
func setDeathSignal(*syscall.SysProcAttr, syscall.Signal) {}

// worksOn reports whether a process was started as a Postgres on the folder.
func worksOn(pid int, folder string) bool {
	line, err := exec.Command("ps", "-o", "command=", "-p", strconv.Itoa(pid)).Output()
	return err == nil && strings.Contains(string(line), "postgres -D "+folder+" ")
}
