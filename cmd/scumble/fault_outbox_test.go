package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
)

// Whatever breaks between a tablet and the ledger, what was entered stands there once, in
// the order in which it was made and under who made it: the same as if the line had held.
//
// SCUMBLE_OUTBOX_SEED plays one run again; SCUMBLE_OUTBOX_RUNS plays more of them.
func TestOutboxLosesNothing(t *testing.T) {
	t.Parallel()
	seed, err := strconv.ParseUint(os.Getenv("SCUMBLE_OUTBOX_SEED"), 10, 64)
	if err != nil {
		seed = uint64(time.Now().UnixNano())
	}
	runs, err := strconv.Atoi(os.Getenv("SCUMBLE_OUTBOX_RUNS"))
	if err != nil {
		runs = 1
	}
	for i := range runs {
		seed := seed + uint64(i)
		t.Run(fmt.Sprintf("SCUMBLE_OUTBOX_SEED=%d", seed), func(t *testing.T) {
			o := newOutboxRun(t, seed)
			for _, act := range o.badDay() {
				act()
			}
			o.settle()
			o.compare()
		})
	}
}

// outboxRun is a shop, a tablet in a real browser, and a bad line between them.
type outboxRun struct {
	t       *testing.T
	rng     *rand.Rand
	dir     string
	program *process
	line    *line
	shop    *shop
	tab     *browsertest.Tab
	people  []string // their PIN pages
	numbers []int64  // and their ids
	person  int      // who is signed in
	todo    map[string][]entry
	pieces  []string
	made    []made
	photos  []made
}

// made is what the tablet has said that it keeps.
type made struct {
	key    string // its id, or the text of a note written into a form
	person int64
}

func newOutboxRun(t *testing.T, seed uint64) *outboxRun {
	o := &outboxRun{t: t, rng: rand.New(rand.NewPCG(seed, 0)), dir: t.TempDir(), todo: map[string][]entry{}}
	o.program = spawn(t, "serve", "--data-dir", o.dir)
	o.line = newLine(t, o.program.base)
	o.shop = setUpShop(t, program{base: o.line.base, lines: o.program.lines})
	o.shop.addPerson("Ida Brandt")
	for _, name := range []string{"Jonas Örn", "Ida Brandt"} {
		path := o.shop.pinPath(o.shop.tablet, name)
		number, err := strconv.ParseInt(path[strings.LastIndex(path, "/")+1:], 10, 64)
		require.NoError(t, err)
		o.people, o.numbers = append(o.people, path), append(o.numbers, number)
	}
	o.pieces = o.shop.pieces[:8]
	for _, piece := range o.pieces {
		o.todo[piece] = o.story(piece)
	}
	o.tab = browsertest.Open(t, o.line.base, browsertest.Tablet)
	o.tab.Go("/bench/enrol")
	code := find(t, o.shop.owner.post("/office/tablets", url.Values{"name": {"Bad line"}}), `>(\w{4}-\w{4})</p>`)
	o.fetch("/bench/enrol", "code="+code)
	o.signIn(0)
	// From here on the tablet opens its pages without the program, which may be killed soon.
	o.tab.Await(`(navigator.serviceWorker.ready.then(r => window.keeper = r.active?.state === "activated"), window.keeper)`)
	return o
}

// story is what happens to a piece, in an order that the rules allow.
func (o *outboxRun) story(piece string) []entry {
	tick := o.shop.tick(piece, nil)
	step := tick["step"]
	return []entry{newEntry("start", entry{"step": step}), newEntry("log time", entry{"step": step, "hours": 0.5}), tick,
		newEntry("untick", entry{"step": step}), newEntry("note", entry{"piece": piece, "note": "once more"}),
		newEntry("tick", entry{"step": step, "checks": tick["checks"], "hours": 0.25})}
}

// fetch posts a form from the page, under the tablet's cookies.
func (o *outboxRun) fetch(path, form string) {
	o.tab.Run(fmt.Sprintf(`window.posted = undefined; fetch(%q, {method: "POST", body: new URLSearchParams(%q)}).then(a => window.posted = a.ok)`, path, form))
	o.tab.Await(`window.posted`)
}

func (o *outboxRun) signIn(person int) {
	o.tab.Go("/bench/people")
	o.fetch(o.people[person], "pin="+pin)
	o.person = person
	o.tab.Go("/bench")
	o.tab.Await(`document.body.dataset.person === "` + strconv.FormatInt(o.numbers[person], 10) + `"`)
}

// badDay is what happens, in an order of the seed's: every kind of cut is among it, a kill
// and a change of person, whatever the seed.
func (o *outboxRun) badDay() (day []func()) {
	several := func(n int, act func()) {
		for range n {
			day = append(day, act)
		}
	}
	for where := cutBefore; where < cuts; where++ {
		several(8, func() { o.enterInto(where) })
	}
	several(10, o.rough(func() { o.enter(8 + o.rng.IntN(12)) }))
	several(3, o.rough(o.writeNote))
	several(4, o.rough(o.takePhoto))
	several(3, o.rough(o.look))
	several(2, func() { o.signIn(1 - o.person) })
	several(1, o.kill)
	o.rng.Shuffle(len(day), func(i, j int) { day[i], day[j] = day[j], day[i] })
	return day
}

// rough does something while the next posts may be cut anywhere, or not.
func (o *outboxRun) rough(act func()) func() {
	return func() {
		var plan []cut
		for range 1 + o.rng.IntN(2) {
			plan = append(plan, cut(o.rng.IntN(int(cuts))))
		}
		o.line.breaks(plan...)
		act()
		if o.rng.IntN(3) == 0 {
			o.wake()
		}
	}
}

// enterInto enters something and does not go on before its post was cut at where.
func (o *outboxRun) enterInto(where cut) {
	before := o.line.made[where].Load()
	o.line.breaks(where)
	o.enter(1 + o.rng.IntN(6))
	require.Eventually(o.t, func() bool { return o.line.made[where].Load() > before }, browsertest.Patience, 5*time.Millisecond)
}

// look opens another page while entries are on their way.
func (o *outboxRun) look() {
	o.tab.Go([]string{"/bench", "/bench/waiting", "/bench/nottaken", "/bench/hand"}[o.rng.IntN(4)])
}

func (o *outboxRun) wake() { o.tab.Run(`dispatchEvent(new Event("online"))`) }

// keep has the tablet keep records, which the script gives as a promise. A page that came too
// late and was not kept is nobody's, and nothing can be entered there; any page may go on by
// itself, so that what it was told is told to the next.
func (o *outboxRun) keep(records string) {
	if o.tab.Eval(`document.body.dataset.person`) == "" {
		o.tab.Go("/bench")
	}
	o.tab.Await(fmt.Sprintf(`document.body.dataset.person === "%d" && self.scumble?.outbox && (() => {
		window.told ||= {};
		const id = %q;
		told[id] ??= (async () => { await scumble.outbox.add(await (%s)()); told[id] = "kept"; scumble.outbox.wake(); })();
		return told[id] === "kept";
	})()`, o.numbers[o.person], uuid.NewString(), records))
}

// enter has the tablet keep so many entries and sends them; nobody waits for an answer.
func (o *outboxRun) enter(n int) {
	var some []entry
	for range n {
		e := o.nextEntry()
		e["at"] = time.Now().UTC().Format(time.RFC3339Nano)
		e["clock"] = e["at"]
		some = append(some, e)
		o.made = append(o.made, made{e["id"].(string), o.numbers[o.person]})
	}
	text, err := json.Marshal(some)
	require.NoError(o.t, err)
	o.keep(`async () => ` + string(text) + `.map(event => ({ ...scumble.signed(), event }))`)
}

// takePhoto has the tablet keep a photo, each of a colour of its own.
func (o *outboxRun) takePhoto() {
	e := newEntry("photo", entry{"piece": o.pieces[o.rng.IntN(len(o.pieces))], "at": time.Now().UTC().Format(time.RFC3339Nano)})
	o.photos = append(o.photos, made{e["id"].(string), o.numbers[o.person]})
	text, err := json.Marshal(e)
	require.NoError(o.t, err)
	o.keep(fmt.Sprintf(`async () => {
		const pen = document.createElement("canvas").getContext("2d");
		pen.fillStyle = "rgb(%d 90 60)";
		pen.fillRect(0, 0, 300, 150);
		const picture = await new Promise((done) => pen.canvas.toBlob(done, "image/jpeg"));
		return [{ ...scumble.signed(), event: %s, picture }];
	}`, 20*len(o.photos), text))
}

// nextEntry goes on with the story of some piece, or notes something about it.
func (o *outboxRun) nextEntry() entry {
	piece := o.pieces[o.rng.IntN(len(o.pieces))]
	if story := o.todo[piece]; len(story) > 0 && o.rng.IntN(3) > 0 {
		o.todo[piece] = story[1:]
		return story[0]
	}
	return newEntry("note", entry{"piece": piece, "note": "in passing"})
}

// writeNote goes the way of a person: the form, and Save.
func (o *outboxRun) writeNote() {
	path := "/bench/pieces/" + o.pieces[o.rng.IntN(len(o.pieces))] + "/note"
	text := "written " + uuid.NewString()
	o.tab.Go(path)
	o.tab.Fill("#note", text)
	o.tab.Run(`document.querySelector("form[data-event=note]").requestSubmit()`)
	o.tab.Await(`location.pathname !== "` + path + `" || !document.querySelector("form [data-refusal]").hidden`)
	o.made = append(o.made, made{text, o.numbers[o.person]})
}

// kill ends the program without a warning while entries are on their way; the tablet goes
// on, and is even started anew, before it comes back.
func (o *outboxRun) kill() {
	o.enter(5)
	o.program.kill(o.t)
	o.enter(3)
	o.tab.Go("/bench")
	if o.tab.Eval(`document.body.dataset.person`) != "" {
		o.enter(3) // the page was kept
	}
	o.program = spawn(o.t, "serve", "--data-dir", o.dir)
	o.line.leadTo(o.t, o.program.base)
}

// settle gives the line back and waits until the tablet says that all is saved.
func (o *outboxRun) settle() {
	o.line.breaks()
	o.tab.Go("/bench")
	o.wake()
	o.tab.Sees("0 left, 0 refused", `(Promise.all(["waiting", "refused"].map(scumble.outbox.count)).then(n => window.left = n[0] + " left, " + n[1] + " refused"), window.left || "")`)
	o.tab.Sees("all saved", `document.querySelector("[data-saved]").textContent`)
	require.NoError(o.t, o.program.cmd.Process.Signal(os.Interrupt))
	<-o.program.ended
	require.NoError(o.t, o.program.status, o.program.errors.String())
}

// compare holds the ledger against what was made.
func (o *outboxRun) compare() {
	written := map[string]bool{}
	for _, m := range slices.Concat(o.made, o.photos) {
		written[m.key] = true
	}
	var kept, photos []made
	var fell []string // what was not applied
	for _, e := range exported(o.t, "--data-dir", o.dir).Events {
		key := e.ID
		if written[e.Payload.Note] {
			key = e.Payload.Note
		}
		if written[key] {
			if e.Outcome != "applied" {
				fell = append(fell, fmt.Sprintf("%s, %s: %s %s", e.Kind, key, e.Outcome, e.Reason))
			}
			if e.Kind == "photo" {
				photos = append(photos, made{key, e.PersonID})
			} else {
				kept = append(kept, made{key, e.PersonID})
			}
		}
	}
	require.Equal(o.t, o.made, kept)
	require.Empty(o.t, fell)
	require.Equal(o.t, o.photos, photos, "after what is small, and in order too")
	require.Greater(o.t, len(kept), 180)
	out, errs, err := execute(o.t, "", "verify", "--data-dir", o.dir)
	require.NoError(o.t, err, "%s%s", out, errs)
	require.Contains(o.t, out, "agree")
	o.t.Logf("%d entries; posts cut before %d, in the middle %d, after %d", len(o.made),
		o.line.made[cutBefore].Load(), o.line.made[cutMiddle].Load(), o.line.made[cutAfter].Load())
}
