package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/internal/store"
)

// scripted is the class of ordinary pieces, by place on the list modulo the number of
// classes, that pgbench works on. All of them stand at the same step, so that one
// script fits each.
const scripted = 2

// pgbench runs the transaction of a tick without the program.
type pgbench struct {
	program, script, url string
}

// newPgbench records what the store sends for a tick and writes it down as a script
// that does the same to a random piece.
func newPgbench(ctx context.Context, s *site) (*pgbench, error) {
	program, err := findPgbench()
	if err != nil {
		return nil, err
	}
	url, err := s.shop(ctx, s.cars)
	if err != nil {
		return nil, err
	}
	text, err := recordTick(ctx, url, s.cars)
	if err != nil {
		return nil, fmt.Errorf("record a tick: %w", err)
	}
	b := &pgbench{program: program, script: filepath.Join(s.dir, "tick.sql"), url: url}
	return b, os.WriteFile(b.script, []byte(text), 0o600)
}

func findPgbench() (string, error) {
	if program, err := exec.LookPath("pgbench"); err == nil {
		return program, nil
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/pgbench")
	if err != nil || len(found) == 0 {
		return "", errors.Join(err, errors.New("no pgbench on this machine; it comes with Postgres"))
	}
	return found[len(found)-1], nil
}

// recordTick ticks two pieces of one car, the second under the recorder: by then
// routes are known and statements prepared, as they are in a program that runs.
func recordTick(ctx context.Context, url string, cars int) (string, error) {
	notes := &recorder{}
	st, err := store.Open(ctx, url, store.Options{MaxConns: 1, Tracer: notes})
	if err != nil {
		return "", err
	}
	defer st.Close()
	car, err := st.FindCar(ctx, fmt.Sprintf("26-%03d", cars))
	if err != nil {
		return "", err
	}
	pieces, err := st.CarPieces(ctx, car.ID)
	if err != nil {
		return "", err
	}
	var event restoration.Event
	var piece restoration.Piece
	for i := range 2 {
		piece = pieces[scripted+i*len(doneSteps)]
		hours := restoration.Minutes(30)
		event = restoration.Event{ID: newID(), Kind: restoration.KindTick, StepID: piece.Sum.NextStep, At: time.Now(), PersonID: 2,
			Payload: restoration.Payload{Hours: &hours, Checks: checks(piece.Sum.NextStage), Reason: "load test"}}
		notes.take()
		out, err := st.Enter(ctx, []restoration.Event{event})
		if err != nil {
			return "", err
		}
		if out[0].Result != restoration.Applied {
			return "", fmt.Errorf("the tick was not applied: %s", out[0].Reason)
		}
	}
	return script(notes.take(), car.ID, cars, piece, event)
}

// script writes recorded statements for pgbench: batches as pipelines, and the ids of
// the event, piece, steps and car as expressions.
func script(noted []statement, carID int64, cars int, p restoration.Piece, e restoration.Event) (string, error) {
	from := map[restoration.ID]string{e.ID: "md5('event ' || :event)::uuid", p.ID: pieceKey(":piece")}
	for _, s := range p.Steps {
		from[s.ID] = stepKey(":piece", quote(strconv.Itoa(s.Position)), quote(strconv.Itoa(s.Pass)))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\\set number random(2, %d)\n\\set car %d - %d + :number\n", cars, carID, cars)
	// Not gen_random_uuid: where a function is volatile, Postgres looks through the whole ledger.
	fmt.Fprintf(&b, "\\set event random(1, %d)\n", math.MaxInt64-1)
	fmt.Fprintf(&b, "\\set turn random(0, %d)\n", ordinary/len(doneSteps)-1)
	fmt.Fprintf(&b, "\\set piece (:number - 1) * %d + :turn * %d + %d\n", piecesPerCar, len(doneSteps), scripted+1)
	batch := 0
	for _, s := range noted {
		if s.batch != batch && batch > 0 {
			b.WriteString("\\endpipeline\n")
		}
		if s.batch != batch && s.batch > 0 {
			b.WriteString("\\startpipeline\n")
		}
		batch = s.batch
		sql, err := s.inline(substitution{ids: from, carID: carID, car: ":car"})
		if err != nil {
			return "", err
		}
		b.WriteString(sql + ";\n")
	}
	return b.String(), nil
}

var reportedTPS = regexp.MustCompile(`tps = ([0-9.]+)`)

// run has pgbench do n transactions and gives their number per second.
func (b *pgbench) run(ctx context.Context, n int) (float64, error) {
	cmd := exec.CommandContext(ctx, b.program, "--no-vacuum", "--protocol=prepared", "--file="+b.script,
		"--client="+strconv.Itoa(tickConns), "--jobs=2", "--transactions="+strconv.Itoa(n/tickConns), b.url)
	out, err := cmd.CombinedOutput()
	if err != nil {
		return 0, fmt.Errorf("pgbench: %w\n%s", err, out)
	}
	tps := reportedTPS.FindSubmatch(out)
	if tps == nil {
		return 0, fmt.Errorf("pgbench tells no throughput:\n%s", out)
	}
	return strconv.ParseFloat(string(tps[1]), 64)
}
