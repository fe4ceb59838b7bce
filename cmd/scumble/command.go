package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"runtime/debug"

	"github.com/alecthomas/kong"
)

// command is the whole command line.
type command struct {
	DataDir     string      `name:"data-dir" placeholder:"DIR" help:"Folder of the private Postgres, used when no database is named (default: the user's data folder)."`
	DatabaseURL string      `name:"database-url" env:"DATABASE_URL" placeholder:"URL" help:"Postgres to use instead of the private one."`
	Verbose     bool        `help:"Say more in the log."`
	Version     versionFlag `help:"Say which version this is."`

	Demo    demoCommand    `cmd:"" help:"Serve an invented shop, to look around."`
	Serve   serveCommand   `cmd:"" help:"Serve the shop."`
	Migrate migrateCommand `cmd:"" help:"Bring the database to the form that this program knows."`
	Import  importCommand  `cmd:"" help:"Take in cars or trim lists from CSV files."`
	Export  exportCommand  `cmd:"" help:"Write everything but secrets as one JSON document."`
	Hours   hoursCommand   `cmd:"" help:"Show the labour hours left, by car and for the shop."`
	Verify  verifyCommand  `cmd:"" help:"Replay the ledger and compare it with what is shown."`
	Backup  backupCommand  `cmd:"" help:"Write a backup of the whole database."`
	Restore restoreCommand `cmd:"" help:"Restore a backup into an empty database."`
	Person  personCommand  `cmd:"" help:"List, add and change people."`
	Link    linkCommand    `cmd:"" help:"List, make, change and revoke a car's progress links."`
}

// versionFlag prints the version and ends.
type versionFlag bool

// BeforeReset is called by kong when the flag is given.
func (versionFlag) BeforeReset(app *kong.Kong) error {
	fmt.Fprintln(app.Stdout, "scumble", version())
	app.Exit(0)
	return nil
}

// version is the release of the program, as it was built.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		return info.Main.Version
	}
	return "unknown"
}

// run parses args and runs the command that they name. It returns when the command
// is done or ctx ends; the error is a sentence for a person.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) error {
	var c command
	exit := -1
	parser, err := kong.New(&c, kong.Name("scumble"),
		kong.Description("Tracks restoration work orders for the wood-grained trim of vintage cars."),
		kong.Writers(out, errs), kong.Exit(func(code int) { exit = code }), kong.UsageOnError())
	if err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	chosen, err := parser.Parse(args)
	switch {
	case exit == 0: // help was asked for and is printed
		return nil
	case err != nil:
		return err
	}
	level := slog.LevelInfo
	if c.Verbose {
		level = slog.LevelDebug
	}
	log := slog.New(slog.NewTextHandler(errs, &slog.HandlerOptions{Level: level}))
	house := &house{dataDir: c.DataDir, url: c.DatabaseURL, log: log}
	chosen.BindTo(ctx, (*context.Context)(nil))
	return chosen.Run(house, streams{in, out, errs}, log)
}
