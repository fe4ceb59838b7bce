// The tablet's own script. A form that carries data-event becomes one entry under the id
// that the page was drawn with. It goes into the outbox first (outbox.js, one of the scripts
// that data-then names), which sends it until it is answered. Without this script the same forms post in the ordinary way.
//
//   <form data-event="tick" data-next="/bench" method="post" action="…">
//     <input type="hidden" name="id" value="…">
//     <input type="hidden" name="now" value="…">          the server's hour as the page was drawn
//     <input type="hidden" name="step" value="…">         or name="piece"
//     fields: hours, still_to_go, stage, defect, reason, note, place
//     own: what was written in place of a reason or place that could be picked
//     checks: <input type="hidden" name="checks" value="…">  what one touch on Save states
//     fails: <input type="checkbox" name="fails" value="…">  the checks among them that don't hold
//     <div data-refusal hidden></div>                       where a refusal is shown
//   </form>
//   data-needs="reason" (or place): nothing is sent without one
//   <div data-wants="reason" hidden>                      shown when a refusal asks for it
//   What a form says beyond that is added by whoever hears "scumble:entry", whose detail
//   has the form's data and its events; events = null leaves it to the ordinary way, and
//   lacks says what is still asked for: nothing is sent then.
//   "scumble:refused" is told the outcomes, and may set what is said of them. "scumble:filled"
//   comes once a form was filled in with what a refused entry said.
"use strict";
(() => {
  const person = document.body.dataset.person || "";
  // uuid7 is RFC 9562 version 7: 48 bits of time, the rest random.
  const uuid7 = () => {
    const b = crypto.getRandomValues(new Uint8Array(16));
    let ms = Date.now();
    for (let i = 5; i >= 0; i--) {
      b[i] = ms % 256;
      ms = Math.floor(ms / 256);
    }
    b[6] = (b[6] & 0x0f) | 0x70;
    b[8] = (b[8] & 0x3f) | 0x80;
    const hex = [...b].map((v) => v.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  };

  // --- what keeps and sends entries -----------------------------------------------
  // The outbox, and what shows it, come once the page is drawn, or with the first entry.
  const later = (document.currentScript.dataset.then || "").split(" ").filter(Boolean);
  const bring = (src) =>
    new Promise((done, failed) => document.head.append(Object.assign(document.createElement("script"), { src, onload: done, onerror: failed })));
  const isHere = (src) => [...document.scripts].some((s) => s.getAttribute("src") === src); // some pages need one at once
  let coming = null;
  const bringAll = async () => {
    for (; later.length; later.shift()) if (!isHere(later[0])) await bring(later[0]);
    return scumble.outbox;
  };
  const outboxed = () => (coming ||= bringAll().finally(() => (coming = null)));
  addEventListener("load", () => outboxed().catch(() => {}));

  // post sends a form, or a list of entries. It never throws: status 0 is no answer.
  const post = async (path, what, headers, signal) => {
    const form = what instanceof FormData;
    const kind = form ? {} : { "Content-Type": "application/json" };
    try {
      const answer = await fetch(path, {
        method: "POST",
        headers: { Accept: "application/json", "Scumble-Sent": new Date().toISOString(), ...kind, ...headers },
        body: form ? what : JSON.stringify(what),
        signal,
      });
      const said = await answer.json().catch(() => null);
      return { status: answer.status, outcomes: answer.ok ? said : null, detail: said?.detail };
    } catch {
      return { status: 0, outcomes: null };
    }
  };

  // --- forms -------------------------------------------------------------------
  const drawn = Date.parse(document.body.dataset.asOf) || Date.now(); // a copy is older
  const eventOf = (form, button) => {
    const data = new FormData(form, button);
    const e = { id: (form.dataset.id ||= data.get("id") || uuid7()), kind: form.dataset.event };
    // The tablet's clock may be wrong: the server puts it right by the hour of sending.
    e.at = e.clock = new Date().toISOString();
    for (const name of ["step", "piece", "stage", "defect", "reason", "note", "place", "grade"]) {
      const v = String(data.get(name) || "").trim();
      if (v) e[name] = v;
    }
    for (const name of ["hours", "still_to_go"]) {
      const v = String(data.get(name) ?? "").trim().replace(",", ".");
      if (v !== "" && Number(v) !== 0) e[name] = Number(v); // nought logs nothing
    }
    const own = String(data.get("own") || "").trim();
    if (own) e[e.kind === "move" ? "place" : "reason"] = own;
    const fails = data.getAll("fails");
    if (data.has("checks")) e.checks = data.getAll("checks").filter((c) => !fails.includes(c)).map(String);
    return e;
  };
  const eventsOf = (form, button) => {
    const detail = { data: new FormData(form, button), events: [eventOf(form, button)] };
    form.dispatchEvent(new CustomEvent("scumble:entry", { bubbles: true, detail }));
    return detail;
  };

  const tell = (form, text) => {
    const box = form.querySelector("[data-refusal]") || document.querySelector("[data-refusal]");
    if (!box) return alert(text);
    box.className = "refusal";
    box.setAttribute("role", "alert");
    box.textContent = text;
    box.hidden = false;
    box.scrollIntoView({ block: "nearest" });
  };
  // notSent says why an entry still waits. It is kept in every case.
  const notSent = (status) =>
    status === 401 || status === 403
      ? "You are signed out. It is kept on this tablet until you sign in again."
      : "Not sent yet. It is kept on this tablet and sent when the connection is back.";
  const refusal = (form, own) => {
    form.dataset.id = uuid7(); // the next press is another event
    const from = own.allowed_from ? " Allowed from " + moment(own.allowed_from) + "." : "";
    return (own.reason || "This was refused.") + from;
  };
  const moment = (t) =>
    new Date(t).toLocaleString("en-GB", { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

  // A page that comes back by "back" has the ids that it was sent with: what is said anew
  // needs new ones.
  const content = (events) => JSON.stringify(events.map(({ id, at, clock, ...rest }) => rest));
  const renew = (form, events) => {
    if (form.dataset.said && form.dataset.said !== content(events)) {
      for (const e of events) e.id = uuid7();
      form.dataset.id = events[0].id;
    }
    form.dataset.said = content(events);
  };
  // keep puts the entries into the outbox. Where there is no room they are sent at once,
  // and what the form says stays until somebody has answered.
  // A store that doesn't answer is as good as full.
  const STORE = 5000; // ms
  const HANGING = 20000; // ms
  const late = () => new Promise((_, no) => setTimeout(no, STORE));
  const keep = async (form, events, button) => {
    try {
      const replaces = form.dataset.replaces ? form.dataset.replaces.split(" ") : [];
      const kept = outboxed().then((outbox) => outbox.add(scumble.records(form, events, button), replaces));
      await Promise.race([kept, late()]);
      scumble.outbox.persist();
      return true;
    } catch {
      return false;
    }
  };
  const answerOf = async (form, events, button) => {
    if (await keep(form, events, button)) return scumble.outbox.deliver(events.map((e) => e.id));
    const { outcomes } = await post("/bench/events?say=1", events, {}, AbortSignal.timeout(HANGING));
    if (outcomes) return outcomes;
    delete form.dataset.busy;
    tell(form, "Not saved: this tablet has no room left, and the server can’t be reached. Leave this page open, make room, save again.");
    return "lost";
  };
  const onRefused = (form, outcomes, refused) => {
    delete form.dataset.busy;
    form.dataset.replaces = refused.map((o) => o.id).join(" "); // pressed again, it takes their place
    for (const part of form.querySelectorAll("[data-wants]")) {
      if (!refused.some((o) => o.wants === part.dataset.wants)) continue;
      part.hidden = false;
      for (const p of part.querySelectorAll("p.refusal")) p.remove(); // the refusal says it as it is now
    }
    const detail = { outcomes, says: refusal(form, refused[0]), newID: uuid7 };
    form.dispatchEvent(new CustomEvent("scumble:refused", { bubbles: true, detail }));
    // What the refusal says need not stand beside the tick that answers it as well. A minute
    // may have gone by, and the pieces stand before it where it is about several.
    const timeless = (says) => says.replace(/\d+ (min|h|d|days?)( \d+ (min|h))*/g, "#");
    const told = timeless(detail.says);
    for (const p of form.querySelectorAll(".why-asked p.refusal")) {
      const says = timeless(p.textContent);
      if (told.includes(says) || told.includes(says.slice(says.indexOf(": ") + 2))) p.remove();
    }
    tell(form, detail.says);
  };
  // goOn leaves for the next page: without an answer only if the tablet keeps that page.
  const goOn = async (form, answered) => {
    // Without the name of a place on the page: else it would not be fetched again.
    const to = form.dataset.next || location.pathname + location.search;
    if (answered || (await scumble.pages?.has(to))) return location.assign(to);
    tell(form, notSent(scumble.outbox.status())); // stays busy: pressed again it would be entered twice
  };

  Object.assign((self.scumble ||= {}), { uuid7, outboxed, post });
  document.addEventListener("submit", async (e) => {
    const form = e.target;
    if (e.submitter?.formMethod === "get" && form.method !== "get") return; // leads to another page
    if (form.dataset.busy) return e.preventDefault(); // one press, one post
    form.dataset.busy = "1";
    if (!form.dataset.event || !person) return;
    if (form.querySelector("[name=fails]:checked")) {
      e.preventDefault(); // Enter in a field
      delete form.dataset.busy;
      return tell(form, "A check does not hold: not saved.");
    }
    const { events, lacks } = eventsOf(form, e.submitter);
    if (!events) return; // a figure can't be read: the page comes back and says which
    e.preventDefault();
    const needs = form.dataset.needs;
    if (!events.length || lacks || (needs && !events[0][needs])) {
      delete form.dataset.busy;
      return tell(form, !events.length ? "Touch at least one piece." : lacks || "Choose a " + needs + ", or write one.");
    }
    renew(form, events);
    const outcomes = await answerOf(form, events, e.submitter);
    if (outcomes === "lost") return;
    const refused = (outcomes || []).filter((o) => o.outcome === "refused");
    if (refused.length) return onRefused(form, outcomes, refused);
    goOn(form, outcomes);
  });
  addEventListener("pageshow", () => {
    for (const f of document.querySelectorAll("form[data-busy]")) delete f.dataset.busy;
  });

  // --- steppers and timers -------------------------------------------------------
  for (const b of document.querySelectorAll(".stepper [data-step]")) b.hidden = false;
  document.addEventListener("click", (e) => {
    const step = e.target.closest("[data-step]");
    if (!step) return;
    const box = step.closest("[data-stepper]");
    const input = box.querySelector("input");
    const { grain = 0.25, low = 0, high = 99, start = 0 } = box.dataset;
    const from = parseFloat(input.value.replace(",", "."));
    // An empty field begins at what is usual.
    const to = Number.isNaN(from) ? Number(start) : from + parseFloat(step.dataset.step);
    const whole = Number((Math.round(to / grain) * grain).toFixed(3));
    input.value = String(Math.min(high, Math.max(low, whole)));
    box.dataset.touched = "1";
  });
  document.addEventListener("input", (e) => {
    const box = e.target.closest("[data-stepper]");
    if (box) box.dataset.touched = "1";
  });

  const tick = () => {
    for (const t of document.querySelectorAll("[data-timer]")) {
      // The tablet's clock may be wrong; only how much it moves on counts.
      const now = (Date.parse(t.dataset.timerNow) || drawn) + Date.now() - drawn;
      const minutes = Math.max(0, Math.floor((now - Date.parse(t.dataset.timer)) / 60000));
      t.textContent = Math.floor(minutes / 60) + " h " + String(minutes % 60).padStart(2, "0") + " min";
      // The hours follow the timer until a finger has changed them. A timer left
      // running overnight says nothing about the work.
      const box = t.closest("[data-stepper]");
      if (box && !box.dataset.touched && minutes >= 8 && minutes <= (Number(t.dataset.timerLimit) || 720)) {
        box.querySelector("input").value = String(Math.round(minutes / 15) / 4);
      }
    }
  };
  tick();
  setInterval(tick, 10000);

  // --- touches -------------------------------------------------------------------
  // What can't be undone has to be held for a second, by one finger or by Enter or
  // space; droplets and brushes of a sleeve do nothing. Who lets go sooner is told.
  // Other buttons act on release, as click does.
  const HOLD = 1000;
  const SHORTEST = 80;
  const SETTLE = 400;
  let holding = null;

  // say tells how to touch the button, on the line kept for it, and for the ear.
  const say = (button, text) => {
    const line = button.closest("form")?.querySelector("[data-say]");
    if (line) line.textContent = text;
  };
  const letGo = () => {
    if (!holding) return;
    clearTimeout(holding.timer);
    holding.button.classList.remove("holding");
    say(holding.button, "Hold for a second.");
    holding = null;
  };
  const hold = (button) => {
    button.classList.add("holding");
    say(button, "Keep holding …");
    holding = { button, timer: setTimeout(act, HOLD, button) };
  };
  const act = (button) => {
    letGo();
    say(button, "");
    button.form.requestSubmit(button);
  };
  document.addEventListener("pointerdown", (e) => {
    if (!e.isPrimary) return letGo(); // a second touch: not a deliberate one
    const button = e.target.closest("[data-hold]");
    if (button && !button.disabled) hold(button);
  });
  for (const end of ["pointerup", "pointercancel", "blur"]) addEventListener(end, letGo);
  document.addEventListener("contextmenu", (e) => {
    if (e.target.closest("[data-hold]")) e.preventDefault();
  });
  const isPress = (e) => (e.key === "Enter" || e.key === " ") && e.target.closest?.("[data-hold]");
  document.addEventListener("keydown", (e) => {
    const button = isPress(e);
    if (!button) return;
    e.preventDefault(); // no click: it has to be held
    if (!e.repeat && !holding) hold(button);
  });
  document.addEventListener("keyup", (e) => {
    if (!isPress(e)) return;
    e.preventDefault();
    letGo();
  });
  // A click without a finger or a key is a screen reader's: it can't hold, so it is
  // asked a second time.
  document.addEventListener(
    "click",
    (e) => {
      const button = e.target.closest("[data-hold]");
      if (!button) return;
      const sure = e.detail === 0 && button.dataset.asked;
      button.dataset.asked = e.detail === 0 ? "1" : "";
      if (sure) return;
      e.preventDefault();
      if (e.detail === 0) say(button, "Press again to confirm.");
    },
    true
  );

  // A touch shorter than 80 ms on something marked as lasting is a droplet, and one
  // that comes as soon as it appears was meant for what stood there before.
  let down = 0;
  let appeared = 0;
  document.addEventListener("pointerdown", (e) => (down = e.timeStamp), true);
  addEventListener("hashchange", (e) => (appeared = e.timeStamp));
  document.addEventListener(
    "click",
    (e) => {
      const button = e.target.closest("[data-lasting]");
      if (e.detail === 0 || !button) return;
      const early = down - appeared < SETTLE && appeared > 0;
      if (!early && e.timeStamp - down >= SHORTEST) return;
      e.preventDefault();
      e.stopPropagation();
      say(button, "Too short a touch: touch again.");
    },
    true
  );

  // A list is fetched again every minute, and when the tablet wakes; but nothing
  // moves under a finger, nor while somebody types.
  const FRESH = 60000;
  const QUIET = 10000;
  let touched = -QUIET;
  document.addEventListener("pointerdown", (e) => (touched = e.timeStamp), true);
  const quiet = () => !document.hidden && performance.now() - touched > QUIET && !document.activeElement.matches("input, textarea");
  const refresh = async () => {
    if (!document.querySelector("[data-fresh]") || !quiet()) return;
    try {
      const answer = await fetch(location.href);
      if (!answer.ok || answer.redirected) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!quiet() || !page.querySelector("[data-fresh]")) return;
      for (const part of ["main", ".benchnav ul"]) document.querySelector(part).replaceWith(page.querySelector(part));
      document.dispatchEvent(new CustomEvent("scumble:drawn"));
    } catch {
      // no network: the list stays as it is
    }
  };
  setInterval(refresh, FRESH);
  document.addEventListener("visibilitychange", refresh);

  // A change of the shop is heard at once, and shown as soon as nobody touches.
  if (document.querySelector("[data-fresh]")) {
    const source = new EventSource("/bench/live");
    let due = false;
    source.addEventListener("changed", () => (due = true));
    setInterval(() => {
      if (!due || !quiet()) return;
      due = false;
      refresh();
    }, 500);
    addEventListener("pagehide", () => source.close());
  }

  // What is chosen stays in sight where the row of choices is longer than the screen.
  for (const a of document.querySelectorAll(".cars [aria-current]")) {
    const row = a.closest("ul");
    row.scrollLeft = a.offsetLeft - row.offsetLeft - 60;
  }

  // A scanner types a label's code and Enter, fast, wherever the page stands. In a
  // field it types like everybody else.
  let scan = "";
  let last = 0;
  document.addEventListener("keydown", (e) => {
    if (!person || e.target.closest("input, textarea, select")) return;
    if (e.timeStamp - last > 300) scan = "";
    last = e.timeStamp;
    if (e.key === "Enter" && scan.length >= 5) {
      e.preventDefault();
      location.assign("/bench/find?code=" + encodeURIComponent(scan));
    } else if (e.key.length === 1) {
      scan += e.key;
    }
  });
})();
