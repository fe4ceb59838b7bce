package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/localdb"
	"scumble/internal/store"
)

// site is where the measuring happens: one durable Postgres with a shop per
// database, and the program built once.
type site struct {
	cars    int
	dir     string // temporary, removed at the end
	binary  string
	cluster *localdb.Server
	errs    io.Writer
	shops   map[int]string // number of cars → URL of its database
	big     *app           // serves the large shop, once asked for
}

func openSite(ctx context.Context, cars int, errs io.Writer) (_ *site, err error) {
	s := &site{cars: cars, errs: errs, shops: map[int]string{}}
	if s.dir, err = os.MkdirTemp("", "scumble-load-"); err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			s.close()
		}
	}()
	s.binary = filepath.Join(s.dir, "scumble")
	build := exec.CommandContext(ctx, "go", "build", "-o", s.binary, "scumble/cmd/scumble")
	if out, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("build the program: %w\n%s", err, out)
	}
	// Not a throw-away cluster: those don't wait for the disc, and a tick must.
	s.cluster, err = localdb.Start(ctx, localdb.Options{Dir: filepath.Join(s.dir, "data")})
	return s, err
}

func (s *site) close() {
	if s.big != nil {
		s.big.stop()
	}
	if s.cluster != nil {
		if err := s.cluster.Stop(); err != nil {
			fmt.Fprintln(s.errs, err)
		}
	}
	if err := os.RemoveAll(s.dir); err != nil {
		fmt.Fprintln(s.errs, err)
	}
}

// shop gives the database of a shop of n cars, made on first use.
func (s *site) shop(ctx context.Context, n int) (string, error) {
	if url, ok := s.shops[n]; ok {
		return url, nil
	}
	template, fill := "template1", workFirstCar
	if n > 1 {
		if _, err := s.shop(ctx, 1); err != nil {
			return "", err
		}
		template = "shop_1"
		fill = func(ctx context.Context, url string) error { return cloneCars(ctx, url, n) }
	}
	url, err := s.make(ctx, fmt.Sprintf("shop_%d", n), template, fill)
	if err == nil {
		s.shops[n] = url
	}
	return url, err
}

// filmShop gives the database of a shop of as many cars as the large one whose every
// piece has a long film, made anew at each call.
func (s *site) filmShop(ctx context.Context) (string, error) {
	if _, err := s.shop(ctx, 1); err != nil {
		return "", err
	}
	return s.make(ctx, "film_shop", "shop_1", func(ctx context.Context, url string) error {
		if err := coatFirstCar(ctx, url); err != nil {
			return err
		}
		return cloneCars(ctx, url, s.cars)
	})
}

// make makes a database of a template and fills it.
func (s *site) make(ctx context.Context, name, template string, fill func(context.Context, string) error) (string, error) {
	began := time.Now()
	admin, err := pgx.Connect(ctx, s.cluster.URL("postgres"))
	if err != nil {
		return "", err
	}
	defer admin.Close(ctx)
	if _, err := admin.Exec(ctx, "CREATE DATABASE "+name+" TEMPLATE "+template); err != nil {
		return "", err
	}
	url := s.cluster.URL(name)
	if err = fill(ctx, url); err == nil {
		err = store.Vacuum(ctx, url) // as a restore does
	}
	if err != nil {
		return "", fmt.Errorf("make %s: %w", name, err)
	}
	fmt.Fprintf(s.errs, "made %s in %s\n", name, short(time.Since(began)))
	return url, nil
}

// bigApp serves the large shop; it is started once.
func (s *site) bigApp(ctx context.Context) (*app, error) {
	if s.big != nil {
		return s.big, nil
	}
	url, err := s.shop(ctx, s.cars)
	if err != nil {
		return nil, err
	}
	s.big, err = startApp(ctx, s.binary, "serve", "--database-url", url)
	return s.big, err
}

// bigTablet is a tablet on which a technician of the large shop is signed in.
func (s *site) bigTablet(ctx context.Context) (*visitor, error) {
	a, err := s.bigApp(ctx)
	if err != nil {
		return nil, err
	}
	tablets, err := a.signInBench(ctx, 1)
	if err != nil {
		return nil, err
	}
	return tablets[0], nil
}

// exec runs statements on the shop of n cars as the owner of the cluster.
func (s *site) exec(ctx context.Context, n int, statements ...string) error {
	url, err := s.shop(ctx, n)
	if err != nil {
		return err
	}
	return execAll(ctx, url, statements...)
}

// execAll runs statements one after the other.
func execAll(ctx context.Context, url string, statements ...string) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	for _, sql := range statements {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return fmt.Errorf("%.60s…: %w", strings.TrimSpace(sql), err)
		}
	}
	return nil
}
