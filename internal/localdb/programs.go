package localdb

import (
	"cmp"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"
)

// programs are initdb and postgres of one version, in one folder.
type programs struct {
	bin   string // the folder
	major int
}

// oldestMajor is the oldest Postgres that makes a new cluster; older ones get
// no more fixes from their makers.
const oldestMajor = 14

// findOrFetch returns programs that the account can run: of exactly the given
// major version, or when that is 0 of any that is not too old.
func (o Options) findOrFetch(ctx context.Context, a account, major int) (programs, error) {
	folders := o.folders
	if folders == nil {
		folders = slices.Concat(foldersOnPath(filepath.SplitList(os.Getenv("PATH"))), usualFolders())
	}
	if p, ok := findPrograms(ctx, a, folders, major); ok {
		return p, nil
	}
	return o.fetch(ctx, a, major)
}

func findPrograms(ctx context.Context, a account, folders []string, major int) (programs, bool) {
	for _, folder := range folders {
		p, ok := tryPrograms(ctx, a, folder)
		if ok && (p.major == major || major == 0 && p.major >= oldestMajor) {
			return p, true
		}
	}
	return programs{}, false
}

// tryPrograms reports whether both programs stand in the folder, run, and are
// of one version: a wrapper may stand there instead, or a client without server.
func tryPrograms(ctx context.Context, a account, folder string) (programs, bool) {
	server, ok := majorOf(ctx, a, filepath.Join(folder, "postgres"))
	if !ok {
		return programs{}, false
	}
	maker, ok := majorOf(ctx, a, filepath.Join(folder, "initdb"))
	return programs{bin: folder, major: server}, ok && maker == server
}

// versionPattern matches "postgres (PostgreSQL) 15.18" and "initdb (PostgreSQL) 18beta1".
var versionPattern = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

func majorOf(ctx context.Context, a account, program string) (major int, ok bool) {
	if _, err := os.Stat(program); err != nil {
		return 0, false // spares a child
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, "--version")
	cmd.Dir = "/"
	cmd.SysProcAttr = a.attributes()
	var said []byte
	err := onOwnThread(func() (err error) {
		said, err = cmd.Output()
		return err
	})
	found := versionPattern.FindSubmatch(said)
	if err != nil || found == nil {
		return 0, false
	}
	major, err = strconv.Atoi(string(found[1]))
	return major, err == nil
}

// foldersOnPath returns the folders of a PATH with an initdb in them. Where that
// is a link, the folder it leads to comes first: the server may stand only there.
func foldersOnPath(path []string) []string {
	var folders []string
	for _, folder := range path {
		if !filepath.IsAbs(folder) {
			continue
		}
		if real, err := filepath.EvalSymlinks(filepath.Join(folder, "initdb")); err == nil {
			folders = append(folders, filepath.Dir(real), folder)
		}
	}
	return folders
}

// usualFolders returns where packages put the server without putting it on the
// PATH, newest version first. (From memory of the common packages.)
func usualFolders() []string {
	var folders []string
	for _, pattern := range []string{
		"/usr/lib/postgresql/*/bin",
		"/usr/pgsql-*/bin",
		"/usr/libexec/postgresql*",
		"/usr/local/pgsql/bin",
		"/opt/homebrew/opt/postgresql@*/bin",
		"/usr/local/opt/postgresql@*/bin",
		"/Applications/Postgres.app/Contents/Versions/*/bin",
	} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			panic(err) // a pattern above is malformed
		}
		slices.SortFunc(found, func(a, b string) int { return cmp.Compare(numberIn(b), numberIn(a)) })
		folders = append(folders, found...)
	}
	return folders
}

var numberPattern = regexp.MustCompile(`\d+`)

// numberIn returns the first number in a path, 0 when there is none.
func numberIn(path string) int {
	n, err := strconv.Atoi(numberPattern.FindString(path))
	if err != nil {
		return 0
	}
	return n
}
