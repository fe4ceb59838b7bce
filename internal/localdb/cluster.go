package localdb

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// cluster is the folder in which Postgres keeps everything, with what is
// needed to run programs on it.
type cluster struct {
	path      string
	throwaway bool
	account   account
	programs  programs
	folder    *workFolder // open from create or open until close
}

func clusterPath(dir string) string { return filepath.Join(dir, "postgres") }

// openCluster opens the cluster of a data folder, making it when there is none.
// The caller holds the folder.
func openCluster(ctx context.Context, dir string, o Options) (*cluster, error) {
	path := clusterPath(dir)
	major, err := clusterMajor(path)
	if err != nil {
		return nil, err
	}
	a, err := accountFor(path)
	if err != nil {
		return nil, err
	}
	p, err := o.findOrFetch(ctx, a, major)
	if err != nil {
		return nil, err
	}
	c := &cluster{path: path, throwaway: o.Throwaway, account: a, programs: p}
	if major == 0 {
		begun := time.Now()
		if err := c.create(ctx); err != nil {
			return nil, err
		}
		o.Log.Info("made a new cluster", "cluster", path, "postgres", p.major, "programs", p.bin, "took", time.Since(begun))
	}
	c.folder, err = openWorkFolder(path, a)
	if err != nil {
		return nil, say(err, "The database folder %s can't be opened: set its rights so that this user may enter it.", path)
	}
	return c, nil
}

func (c *cluster) close() error { return c.folder.file.Close() }

// clusterMajor returns the major version of the Postgres that made the cluster,
// 0 when there is none yet.
func clusterMajor(path string) (int, error) {
	text, err := os.ReadFile(filepath.Join(path, "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, mayBecomeCluster(path)
	}
	if err != nil {
		return 0, say(err, "The database folder %s can't be read: it belongs to another user, or its rights have changed.", path)
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil {
		return 0, say(err, "The database in %s has a version that can't be understood: put the folder back from a backup.", path)
	}
	return major, nil
}

// mayBecomeCluster refuses a folder that holds something, but no cluster.
func mayBecomeCluster(path string) error {
	held, err := os.ReadDir(path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(held) == 0 {
		return nil
	}
	return say(err, "The folder %s is not a Postgres database and not empty: move it away, or name another data folder with --data-dir.", path)
}

// create makes the cluster beside its final place and moves it there when it is
// whole, so that a start broken off half-way leaves no half cluster.
func (c *cluster) create(ctx context.Context) (err error) {
	fresh := c.path + ".new"
	defer func() {
		if err != nil {
			err = say(err, "A new database can't be made in %s.", c.path)
			_ = os.RemoveAll(fresh)
		}
	}()
	if err := os.RemoveAll(fresh); err != nil {
		return err
	}
	if err := os.Mkdir(fresh, 0o700); err != nil {
		return err
	}
	if err := c.account.own(fresh); err != nil {
		return err
	}
	if c.folder, err = openWorkFolder(fresh, c.account); err != nil {
		return err
	}
	defer c.folder.file.Close()
	if err := c.initialise(ctx); err != nil {
		return err
	}
	if err := c.createDatabase(ctx); err != nil {
		return err
	}
	if err := os.Rename(fresh, c.path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(c.path))
}

func (c *cluster) initialise(ctx context.Context) error {
	args := []string{"-D", c.folder.name, "-U", superuser, "-A", "trust", "-E", "UTF8", "--locale=" + locale}
	if c.throwaway {
		args = append(args, "--no-sync")
	} else {
		args = append(args, "--data-checksums")
	}
	return c.run(c.command(ctx, "initdb", args...))
}

// createDatabase uses the single-user mode, which needs neither a running
// server nor a client library.
func (c *cluster) createDatabase(ctx context.Context) error {
	args := append([]string{"--single", "-D", c.folder.name, "-c", "exit_on_error=on"}, c.durability()...)
	cmd := c.command(ctx, "postgres", append(args, superuser)...)
	cmd.Stdin = strings.NewReader("CREATE DATABASE " + Database + "\n")
	return c.run(cmd)
}

// durability are the settings that decide what outlives a power cut. Real data
// gets them spelt out, so that no configuration file can weaken them unseen.
func (c *cluster) durability() []string {
	value := "on"
	if c.throwaway {
		value = "off"
	}
	return []string{"-c", "fsync=" + value, "-c", "synchronous_commit=" + value, "-c", "full_page_writes=" + value}
}

// server is the command that serves the cluster.
func (c *cluster) server(sockets string) *exec.Cmd {
	args := []string{"-D", c.folder.name, "-k", sockets, "-p", port, "-c", "listen_addresses="}
	return c.command(context.Background(), "postgres", append(args, c.durability()...)...)
}

// command prepares one of the Postgres programs to work on the open folder as
// the cluster's account.
func (c *cluster) command(ctx context.Context, program string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, filepath.Join(c.programs.bin, program), args...)
	cmd.Dir = "/" // our own may be closed to the account
	cmd.Env = append(os.Environ(), "LC_ALL=C")
	cmd.ExtraFiles = []*os.File{c.folder.file}
	cmd.SysProcAttr = c.account.attributes()
	return cmd
}

// run waits for a command that ends by itself; the error holds what it said.
func (c *cluster) run(cmd *exec.Cmd) error {
	var said []byte
	err := onOwnThread(func() (err error) {
		said, err = cmd.CombinedOutput()
		return err
	})
	if err != nil {
		return fmt.Errorf("%s: %w: %s", filepath.Base(cmd.Path), err, lastLines(string(said), 5))
	}
	return nil
}

// syncFolder makes the names in a folder outlive a power cut.
func syncFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
