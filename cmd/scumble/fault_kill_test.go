package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What a tablet was told is kept, whatever dies at whatever moment; what it was not
// told it sends again, and nothing is kept twice.
func TestKilledBetweenAHundredEntries(t *testing.T) {
	t.Parallel()
	for seed, victim := range map[uint64]string{1: "the program", 2: "its Postgres"} {
		t.Run(victim, func(t *testing.T) {
			t.Parallel()
			c := newCrash(t, victim == "its Postgres", seed)
			sent := c.shop.hundredEntries()
			c.sendAll(sent)
			require.NoError(t, c.program.cmd.Process.Signal(os.Interrupt))
			<-c.program.ended
			require.NoError(t, c.program.status, c.program.errors.String())
			requireKeptOnce(t, sent, exported(t, "--data-dir", c.dir))
			out, errs, err := execute(t, "", "verify", "--data-dir", c.dir)
			require.NoError(t, err, "%s%s", out, errs)
			require.Contains(t, out, "agree")
		})
	}
}

// crash is a program that is killed and started again while a tablet sends.
type crash struct {
	t          *testing.T
	dir        string
	program    *process
	shop       *shop
	rng        *rand.Rand
	atPostgres bool // Postgres is killed, not the program
	perEntry   time.Duration
	missed     int // batches that were under way in a crash and not acknowledged
}

func newCrash(t *testing.T, atPostgres bool, seed uint64) *crash {
	c := &crash{t: t, dir: t.TempDir(), rng: rand.New(rand.NewPCG(seed, 0)), atPostgres: atPostgres}
	c.program = spawn(t, "serve", "--data-dir", c.dir)
	c.shop = setUpShop(t, c.program.program)
	return c
}

// hundredEntries are ticks of the first step of every piece, then time and notes on them.
func (s *shop) hundredEntries() []entry {
	var entries []entry
	for i := range 100 {
		piece := s.pieces[i%len(s.pieces)]
		switch {
		case i < len(s.pieces):
			entries = append(entries, s.tick(piece, nil))
		case i%5 == 0:
			entries = append(entries, newEntry("note", entry{"piece": piece, "note": "kept once"}))
		default:
			entries = append(entries, newEntry("log time", entry{"step": entries[i%len(s.pieces)]["step"], "hours": 0.25}))
		}
	}
	return entries
}

// sendAll sends every entry until it is acknowledged, a few at a time, and lets the
// victim be killed four times on the way.
func (c *crash) sendAll(entries []entry) {
	const crashes = 4
	done := 0
	for batch := 0; len(entries) > 0; batch++ {
		few := entries[:min(len(entries), 3+c.rng.IntN(5))]
		if batch%4 == 3 && done < crashes {
			// The first comes before anything is read, so that one at least is early.
			early := min(float64(done), c.rng.Float64())
			done++
			if !c.sendIntoCrash(few, early) {
				c.missed++
				continue // the same again
			}
		} else {
			c.send(few)
		}
		entries = entries[len(few):]
	}
	require.Equal(c.t, crashes, done)
	require.Positive(c.t, c.missed, "no crash came between entries: the moments are too late")
	c.t.Logf("%d crashes, %d of them before the answer", done, c.missed)
}

func (c *crash) send(few []entry) {
	began := time.Now()
	got := c.shop.tablet.send("/bench/events", bodyOf(c.t, few...))
	c.perEntry = time.Since(began) / time.Duration(len(few))
	c.requireApplied(few, got)
}

func (c *crash) requireApplied(few []entry, got reply) {
	require.Equal(c.t, http.StatusOK, got.status, got.body)
	all, err := verdicts(got)
	require.NoError(c.t, err)
	require.Len(c.t, all, len(few))
	for i, v := range all {
		require.Equal(c.t, verdict{ID: few[i]["id"].(string), Outcome: "applied"}, v)
	}
}

// sendIntoCrash kills the victim when part of the time has passed that the entries
// should take, starts the program again, and tells whether they were acknowledged. When
// none of it may pass, the program stands still until its victim is dead.
func (c *crash) sendIntoCrash(few []entry, part float64) bool {
	body, tablet := bodyOf(c.t, few...), c.shop.tablet
	type result struct {
		reply
		err error
	}
	answered := make(chan result, 1)
	if part == 0 {
		require.NoError(c.t, c.program.cmd.Process.Signal(syscall.SIGSTOP))
	}
	moment := time.NewTimer(time.Duration(part * float64(c.perEntry) * float64(len(few))))
	go func() {
		got, err := tablet.try(http.MethodPost, "/bench/events", body, http.Header{"Content-Type": {"application/json"}})
		answered <- result{got, err}
	}()
	<-moment.C
	c.kill()
	got := <-answered
	c.program = spawn(c.t, "serve", "--data-dir", c.dir)
	c.shop.tablet.base, c.shop.owner.base = c.program.base, c.program.base
	if got.err != nil || got.status == http.StatusServiceUnavailable {
		return false
	}
	c.requireApplied(few, got.reply)
	return true
}

// kill kills the victim. The program ends by itself when its Postgres does, and
// says why.
func (c *crash) kill() {
	if !c.atPostgres {
		c.program.kill(c.t)
		return
	}
	killPostgres(c.t, filepath.Join(c.dir, "postgres", "postmaster.pid"))
	require.NoError(c.t, c.program.cmd.Process.Signal(syscall.SIGCONT))
	<-c.program.ended
	require.Error(c.t, c.program.status)
	require.Contains(c.t, c.program.errors.String(), "scumble: the private Postgres has ended; start again")
}

// killPostgres kills every process of the Postgres whose first one pidFile names.
func killPostgres(t *testing.T, pidFile string) {
	t.Helper()
	text, err := os.ReadFile(pidFile)
	require.NoError(t, err)
	first, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(first)
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(pid, syscall.SIGSTOP)) // it must not mend what is killed below it
	// Where the system doesn't tell, the others end by themselves a little later.
	others, _ := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", pid, pid))
	for _, text := range append(strings.Fields(string(others)), first) {
		pid, err := strconv.Atoi(text)
		require.NoError(t, err)
		if err := syscall.Kill(pid, syscall.SIGKILL); !errors.Is(err, syscall.ESRCH) { // ended meanwhile
			require.NoError(t, err)
		}
	}
}

// document is what the tests look at of an export.
type document struct {
	Events []struct {
		ID, Kind, Outcome string
		Reason            string
		PersonID          int64 `json:"person_id"`
		DeviceID          int64 `json:"device_id"`
		Payload           struct {
			Hours int `json:"hours_min"`
			Note  string
		}
	}
	Components []struct {
		ID    string
		Steps []struct {
			ID     string
			State  string
			Logged int `json:"logged_min"`
		}
	}
}

func exported(t *testing.T, where ...string) document {
	t.Helper()
	out, errs, err := execute(t, "", append([]string{"export"}, where...)...)
	require.NoError(t, err, errs)
	var d document
	require.NoError(t, json.Unmarshal([]byte(out), &d))
	return d
}

// logged sums up the minutes logged on every step.
func (d document) logged() (minutes int) {
	for _, c := range d.Components {
		for _, s := range c.Steps {
			minutes += s.Logged
		}
	}
	return minutes
}

// requireKeptOnce looks for each entry in the ledger, and for their hours in what is
// shown.
func requireKeptOnce(t *testing.T, sent []entry, d document) {
	t.Helper()
	kept := map[string]int{}
	for _, e := range d.Events {
		if e.Outcome == "applied" {
			kept[e.ID]++
		}
	}
	minutes := 0
	for i, e := range sent {
		require.Equal(t, 1, kept[e["id"].(string)], "entry %d: %v", i, e)
		if e["hours"] != nil {
			minutes += 15
		}
	}
	require.Equal(t, minutes, d.logged())
}
