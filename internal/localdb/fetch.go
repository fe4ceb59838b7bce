package localdb

import (
	"context"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	embeddedpostgres "github.com/fergusstrange/embedded-postgres"
)

// newestMajor is fetched for a new cluster.
const newestMajor = 18

// release returns the version that is fetched for a major one.
func release(major int) (version embeddedpostgres.PostgresVersion, ok bool) {
	version, ok = map[int]embeddedpostgres.PostgresVersion{
		14: embeddedpostgres.V14,
		15: embeddedpostgres.V15,
		16: embeddedpostgres.V16,
		17: embeddedpostgres.V17,
		18: embeddedpostgres.V18,
	}[major]
	return version, ok
}

// fetch returns the fetched programs of a major version, 0 standing for the
// newest, and fetches them when the cache has none.
func (o Options) fetch(ctx context.Context, a account, major int) (programs, error) {
	version, ok := release(major)
	switch {
	case major == 0:
		version, _ = release(newestMajor)
	case !ok:
		return programs{}, say(nil, "The database in %s was made by Postgres %d, which is not on this machine: install that version's server.", o.Dir, major)
	}
	cache, err := o.cacheFolder()
	if err != nil {
		return programs{}, err
	}
	home := filepath.Join(cache, string(version))
	folders := []string{filepath.Join(home, "bin")}
	if p, ok := findPrograms(ctx, a, folders, major); ok {
		return p, nil
	}
	o.Log.Info("no Postgres on this machine: fetching it once", "version", version, "to", home)
	if err := o.unpack(ctx, a, version, cache, home); err != nil {
		wanted := "Postgres"
		if major != 0 {
			wanted = "Postgres " + string(version) + ", which the database was made by,"
		}
		return programs{}, say(err, "%s is not on this machine and could not be fetched: install its server, or name a running one with --database-url.", wanted)
	}
	p, ok := findPrograms(ctx, a, folders, major)
	if !ok {
		return programs{}, say(nil, "The Postgres fetched to %s does not run on this machine: install its server instead.", home)
	}
	return p, nil
}

// cacheFolder returns where fetched programs are kept. Root's own cache would
// be closed to the account that has to run them.
func (o Options) cacheFolder() (string, error) {
	if o.cache != "" {
		return o.cache, nil
	}
	if os.Geteuid() == 0 {
		return "/var/cache/scumble-postgres", nil
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", say(err, "Postgres is not on this machine and there is no cache folder to fetch it to: install its server, or set HOME.")
	}
	return filepath.Join(dir, "scumble", "postgres"), nil
}

// unpack fetches a version to home by way of a scratch folder beside it, so
// that a fetch broken off leaves nothing that looks whole.
func (o Options) unpack(ctx context.Context, a account, version embeddedpostgres.PostgresVersion, cache, home string) error {
	if err := os.MkdirAll(cache, 0o755); err != nil {
		return err
	}
	if err := os.Chmod(cache, 0o755); err != nil { // whatever the umask was
		return err
	}
	scratch, err := os.MkdirTemp(cache, "fetch-")
	if err != nil {
		return err
	}
	fetched := make(chan error, 1)
	go func() { // the library knows no context
		err := o.unpackTo(version, scratch, home)
		_ = os.RemoveAll(scratch)
		fetched <- err
	}()
	select {
	case err := <-fetched:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (o Options) unpackTo(version embeddedpostgres.PostgresVersion, scratch, home string) error {
	unpacked := filepath.Join(scratch, "programs")
	config := embeddedpostgres.DefaultConfig().
		Version(version).
		CachePath(filepath.Join(scratch, "archive")).
		BinariesPath(unpacked).
		RuntimePath(filepath.Join(scratch, "run")).
		Port(0).
		Logger(io.Discard).
		// The library can't only fetch, and can't run as root: an encoding that
		// doesn't exist ends its start right after the unpacking.
		Encoding("none")
	if o.RepositoryURL != "" {
		config = config.BinaryRepositoryURL(o.RepositoryURL)
	}
	startErr := embeddedpostgres.NewDatabase(config).Start()
	if _, err := os.Stat(filepath.Join(unpacked, "bin", "postgres")); err != nil {
		if startErr != nil {
			return startErr
		}
		return err
	}
	if err := openToAll(unpacked); err != nil {
		return err
	}
	err := os.Rename(unpacked, home)
	if _, there := os.Stat(home); there == nil {
		return nil // by us, or meanwhile by another program
	}
	return err
}

// openToAll lets every user read and run what root has unpacked.
func openToAll(root string) error {
	return filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.Type()&fs.ModeSymlink != 0 {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		mode := info.Mode().Perm() | 0o444
		if mode&0o100 != 0 {
			mode |= 0o111
		}
		return os.Chmod(path, mode)
	})
}
