// What the person's clocks show while entries of theirs wait: these say more than the page,
// which was drawn before them. The clock in the head is the person's, and kept pages are of
// different ages: the newest that the server has drawn on the tablet stands on all of them. A start stops every other clock; a pause, the end of the step
// and a hold stop its own (restoration.Timers has the rule).
"use strict";
(() => {
  const { outbox, uuid7 } = scumble;
  const MOST = 2000; // entries that are looked at
  const MOMENT = 20; // ms in which most are sent, so that nothing flickers
  const { person, asOf } = document.body.dataset;
  const main = document.querySelector("main");
  const step = document.querySelector("[data-next-step]")?.dataset.nextStep;
  const start = document.querySelector("form#start");
  const head = document.querySelector(".who small");
  const make = (tag, props, ...children) => {
    const made = Object.assign(document.createElement(tag), props);
    made.append(...children);
    return made;
  };

  // asDrawn is the clock in a part of the page as the server knew it, in ms.
  const asDrawn = (part) => {
    const { timer, timerNow } = part?.querySelector("[data-timer]")?.dataset || {};
    const at = Date.parse(asOf) || Date.now();
    if (timer) return { runs: true, worked: Date.parse(timerNow) - Date.parse(timer), at };
    const [, h = 0, min = 0] = /(\d+) h (\d+) min/.exec(part?.textContent || "") || [];
    return { runs: false, worked: (h * 60 + Number(min)) * 60000, at };
  };
  const drawn = asDrawn(main.querySelector(".clockrow"));

  const ENDS = ["pause", "tick", "skip"];
  const STOPS = ["hold", "send back"]; // whatever step of the piece
  const isOf = (r, of) => (ENDS.includes(r.event.kind) && r.event.step === of.step) || (STOPS.includes(r.event.kind) && r.piece === of.piece);
  const page = { step, piece: /[0-9a-f-]{36}/.exec(location.pathname)?.[0] };

  // ofStep winds the page's clock on by what waits; null: nothing is said of it.
  const ofStep = (list) => {
    let { runs, worked, at } = drawn;
    let said = false;
    for (const r of list) {
      const t = Date.parse(r.event.clock || r.event.at);
      const begins = r.event.kind === "start" && r.event.step === step;
      if (!begins && r.event.kind !== "start" && !isOf(r, page)) continue;
      if (begins ? runs : !runs) continue;
      if (runs) worked += Math.max(0, t - at);
      [runs, at, said] = [begins, t, true];
    }
    return said ? { runs, worked, at } : null;
  };
  // running is what a clock runs on; null: none does; undefined: as the page says.
  const running = (list) => {
    let now;
    for (const r of list) {
      if (r.event.kind === "start") now = { title: r.title, step: r.event.step, piece: r.piece };
      else if (now === undefined ? r.event.kind === "pause" || r.title === head?.querySelector(".timed bdi")?.textContent : now && isOf(r, now)) now = null;
    }
    return now;
  };

  const words = (ms) => {
    const min = Math.floor(ms / 60000);
    return Math.floor(min / 60) + " h " + String(min % 60).padStart(2, "0") + " min";
  };
  const button = (text, form) => {
    const made = make("button", { className: "button" }, make("span", { textContent: text }));
    if (form) made.setAttribute("form", form);
    return made;
  };
  // pause is the form that a page from the server has where the clock runs.
  const pause = () => {
    const form = start.cloneNode(true);
    form.removeAttribute("id");
    form.action = start.action.replace(/start$/, "pause");
    for (const name in form.dataset) delete form.dataset[name];
    form.dataset.event = "pause";
    form.querySelector("[name=id]").value = uuid7();
    for (const check of form.querySelectorAll("[name=checks]")) check.remove();
    form.append(button("Pause"));
    return form;
  };
  // face is a clock that goes by the tablet's own.
  const face = ({ runs, worked, at }) => {
    const clock = make("b", { className: "clock", textContent: words(worked + (runs ? Math.max(0, Date.now() - at) : 0)) });
    if (runs) clock.dataset.timer = new Date(at - worked).toISOString();
    return clock;
  };
  const show = ({ runs, worked, at }) => {
    const bar = main.querySelector(":scope > .actionbar");
    if (!bar || !start) return;
    let row = bar.querySelector(".clockrow");
    if (!row) bar.prepend((row = make("div", { className: "clockrow" })));
    const clock = face({ runs, worked, at });
    row.replaceChildren(make("p", {}, make("span", { textContent: runs ? "Timer runs" : "Stopped at" }), clock), runs ? pause() : button("Go on", "start"));
    main.toggleAttribute("data-unsent-start", runs);
  };
  const showHead = (now) => {
    if (!head || now === undefined) return;
    head.className = "timerline";
    head.replaceChildren(make("span", { textContent: now ? "Timer runs" : "No timer runs" }));
    if (now) head.append(make("span", { className: "timed" }, "on ", make("bdi", { textContent: now.title })));
  };

  // newest notes the head's clock where the server has just drawn it, and puts it on a kept
  // page that is older.
  const NEWEST = "scumble.clock"; // in localStorage
  const newest = () => {
    const title = head?.querySelector(".timed bdi")?.textContent;
    if (location.pathname === "/bench/hours") return; // its head has none
    if (head && !asOf) return localStorage.setItem(NEWEST, JSON.stringify({ person, title, ...asDrawn(head) }));
    const last = JSON.parse(localStorage.getItem(NEWEST));
    if (!head || last?.person !== person || last.at < Date.parse(asOf)) return;
    head.className = last.title ? "timerline" : "";
    if (!last.title) return head.replaceChildren("My hours");
    const on = make("span", { className: "timed" }, "on ", make("bdi", { textContent: last.title }));
    head.replaceChildren(face(last), ...(last.runs ? [] : [make("span", { textContent: "not logged" })]), on);
  };
  try {
    newest();
  } catch {
    // the tablet keeps nothing: the head stays as it was drawn
  }

  let shown = "";
  let due = 0;
  const look = async () => {
    due = 0;
    const list = (await outbox.list("waiting", MOST)).filter((r) => r.person === person);
    const ids = list.map((r) => r.id).join();
    if (ids === shown) return;
    shown = ids;
    showHead(running(list));
    const clock = step && ofStep(list);
    if (clock) show(clock);
  };
  const lookSoon = () => (due ||= setTimeout(() => look().catch(() => {}), MOMENT));
  document.addEventListener("scumble:outbox", lookSoon);
  lookSoon();
})();
