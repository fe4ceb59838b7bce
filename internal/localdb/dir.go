package localdb

import (
	"os"
	"path/filepath"
	"runtime"
)

// DefaultDir returns the data folder of this user when none is named:
// scumble below the folder that the system keeps for programs' data. It does
// not make the folder. The error, a sentence, says that there is no such place.
func DefaultDir() (string, error) {
	base, err := userDataDir(runtime.GOOS, os.Getenv)
	if err != nil {
		return "", err
	}
	return filepath.Join(base, "scumble"), nil
}

func userDataDir(goos string, getenv func(string) string) (string, error) {
	home := getenv("HOME")
	switch goos {
	case "windows":
		if dir := getenv("LocalAppData"); dir != "" {
			return dir, nil
		}
	case "darwin":
		if home != "" {
			return filepath.Join(home, "Library", "Application Support"), nil
		}
	default:
		// The XDG base directory specification: a relative path is to be ignored.
		if dir := getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
			return dir, nil
		}
		if home != "" {
			return filepath.Join(home, ".local", "share"), nil
		}
	}
	return "", say(nil, "This user has no home folder for the data: name a folder with --data-dir.")
}
