// What a page shows of the outbox: how much waits, which tiles and pieces have something
// that was entered and is not sent yet, and the page Not taken.
"use strict";
(() => {
  const { outbox } = scumble;
  const SHOWN = 50;
  const person = document.body.dataset.person || "";
  const clock = (t) => new Date(t).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });

  // --- words ----------------------------------------------------------------------
  const DONE = {
    tick: "Done", untick: "Undone", start: "In hand", pause: "Timer stopped", skip: "Skipped", "send back": "Sent back", hold: "On hold",
    release: "Released", "log time": "Time", "still to go": "Still to go", note: "Note", photo: "Photo", grade: "Grade", move: "Moved",
    coat: "Coat", "cut pass": "Pass", reading: "Measured", strike: "Struck out",
  };
  const words = (r) => {
    const e = r.event;
    const parts = [DONE[e.kind] || e.kind];
    if (e.grade) parts.push(e.grade);
    if (e.hours) parts.push(e.hours + " h");
    if (e.still_to_go !== undefined) parts.push(e.still_to_go + " h");
    for (const text of [e.place, e.reason, e.note]) if (text) parts.push(text.length > 80 ? text.slice(0, 80) + " …" : text);
    return parts.join(", ");
  };

  // --- every page -------------------------------------------------------------------
  const counter = async () => {
    const n = await outbox.count("waiting");
    const refused = await outbox.count("refused");
    const box = document.querySelector("[data-saved]");
    if (box) {
      box.textContent = n ? n + " " + box.dataset.savedSome : refused ? "all sent" : box.dataset.savedAll;
      box.classList.toggle("some", n > 0);
    }
    const link = document.querySelector("[data-not-taken]");
    if (!link) return;
    link.hidden = !refused;
    link.textContent = refused + " not taken";
  };

  const tiles = async () => {
    if (!document.querySelector("a.tile")) return;
    const waiting = new Set((await outbox.pieces("waiting")).map((id) => "/bench/pieces/" + id));
    for (const tile of document.querySelectorAll("a.tile[href^='/bench/pieces/']")) {
      const mark = tile.querySelector(".unsent");
      const waits = waiting.has(tile.getAttribute("href"));
      if (!waits) mark?.remove();
      else if (!mark) tile.querySelector(".tile-car").append(" ", Object.assign(document.createElement("b"), { className: "mark unsent", textContent: "not sent yet" }));
    }
  };

  // A piece says what was entered on it and does not offer it again.
  const ENDS = ["tick", "skip", "send back"];
  const listed = new Set(); // the ids that it has said wait
  // A form says itself what was refused of it, as long as it may take its place.
  const replaced = () => [...document.querySelectorAll("form[data-replaces]")].flatMap((f) => f.dataset.replaces.split(" "));
  // sentOrNot says what became of what was listed; nothing where a form does.
  const sentOrNot = async (id) => {
    const refused = (await outbox.ofPiece("refused", id, SHOWN)).filter((r) => listed.has(r.id));
    const link = (href, textContent) => Object.assign(document.createElement("a"), { href, textContent });
    if (!refused.length) return ["Sent. ", link(location.pathname, "Show the piece")];
    const others = refused.filter((r) => !replaced().includes(r.id));
    return others.length && ["Not taken: " + others.map((r) => words(r) + ": " + r.reason).join(" ") + " ", link("/bench/nottaken", "Look at it")];
  };
  const piece = async () => {
    const id = /^\/bench\/pieces\/([0-9a-f-]{36})/.exec(location.pathname)?.[1];
    if (!id) return;
    const waiting = await outbox.ofPiece("waiting", id, SHOWN);
    const step = document.querySelector("[data-next-step]")?.dataset.nextStep;
    const said = (kinds) => waiting.some((r) => kinds.includes(r.event.kind) && (!step || !r.event.step || r.event.step === step));
    const main = document.querySelector("main");
    main.toggleAttribute("data-unsent-end", said(ENDS));
    let box = main.querySelector("[data-unsent]");
    if (!waiting.length) {
      if (!box || (box.dataset.unsent === "sent" && !replaced().length)) return;
      box.dataset.unsent = "sent";
      const says = await sentOrNot(id);
      if (says) box.replaceChildren(...says);
      else box.remove();
      return;
    }
    if (!box) {
      box = document.createElement("div");
      box.className = "notice notice-offline";
      box.setAttribute("role", "status");
      main.querySelector(".pagehead").after(box);
    }
    box.dataset.unsent = "some";
    for (const r of waiting) listed.add(r.id);
    const rows = waiting.map((r) => Object.assign(document.createElement("li"), { textContent: words(r) + " · " + clock(r.made) }));
    const ul = document.createElement("ul");
    ul.append(...rows);
    box.replaceChildren(Object.assign(document.createElement("b"), { textContent: "Not sent yet" }), ul);
  };

  // A group that is sprayed together offers no piece again whose coat is not sent yet. A form
  // that was submitted knows better: its own entries may be answered while this looks.
  const together = async () => {
    for (const box of document.querySelectorAll("form[data-together] [name=pieces]")) {
      if (box.form.dataset.said) continue;
      const waiting = await outbox.ofPiece("waiting", box.value.split(" ")[1], SHOWN);
      const mark = box.parentElement.querySelector(".unsent");
      const coat = waiting.some((r) => r.event.kind === "coat");
      if (box.form.dataset.said) return; // since the look
      if (!coat) mark?.remove();
      else if (!mark) {
        box.checked = false;
        box.parentElement.querySelector("small").append(" ", Object.assign(document.createElement("b"), { className: "mark unsent", textContent: "not sent yet" }));
      }
    }
  };

  // --- the page Not taken -------------------------------------------------------------
  const held = document.querySelector("[data-held]");
  const part = (name, root = held) => root.querySelector("[data-" + name + "]");
  // showPicture lets go of the picture as soon as it is drawn: the list may be drawn often.
  const showPicture = (img, blob) => {
    if (!blob) return;
    img.src = URL.createObjectURL(blob);
    for (const end of ["load", "error"]) img.addEventListener(end, () => URL.revokeObjectURL(img.src));
    img.addEventListener("load", () => (img.hidden = false));
  };
  // A line stays the same one as long as it says the same: nothing moves under a finger.
  const drawn = new Map();
  const line = (r) => {
    const key = r.state + r.id;
    if (!drawn.has(key)) drawn.set(key, draw(r));
    return drawn.get(key);
  };
  const draw = async (r) => {
    const li = part("held-entry", document).content.firstElementChild.cloneNode(true);
    li.dataset.id = r.id;
    part("says", li).textContent = (r.title ? r.title + ": " : "") + words(r);
    part("when", li).textContent = [r.name, new Date(r.made).toLocaleString("en-GB", { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" })].filter(Boolean).join(" · ");
    part("about", li).textContent = [r.car, r.stage].filter(Boolean).join(" · ");
    const reason = stands(r);
    part("reason", li).textContent = reason;
    part("reason", li).hidden = !reason;
    li.querySelector(".pair").hidden = r.state !== "refused" || r.person !== person; // its author decides
    if (r.event.kind === "photo") showPicture(part("picture", li), await outbox.picture(r.id));
    const form = li.querySelector("[data-held-do=change]");
    form.hidden = !r.page;
    if (r.page) form.href = changeAt(r);
    return li;
  };
  // stands says why an entry was refused, and what became of another try.
  const stands = (r) => {
    if (r.state !== "refused") return r.tried ? "Trying again …" : "";
    return (r.tried ? "Tried again at " + clock(r.tried) + ": still refused. " : "") + (r.reason || "");
  };
  const changeAt = (r) => {
    const at = new URL(r.page, location.href);
    at.searchParams.set("change", r.id);
    if (r.event.kind === "tick") at.searchParams.set("look", "1");
    return at.pathname + at.search + (r.event.kind === "tick" ? "#done" : "");
  };
  const lay = async (name, records) => {
    const lines = await Promise.all(records.map(line));
    const list = part(name);
    if (lines.length !== list.children.length || lines.some((li, i) => li !== list.children[i])) list.replaceChildren(...lines);
  };
  const notTaken = async () => {
    if (!held) return;
    const all = await outbox.list("waiting", SHOWN);
    const again = all.filter((r) => r.tried); // keeps its place among the refused
    const waiting = all.filter((r) => !r.tried);
    const refused = [...again, ...(await outbox.list("refused", SHOWN))].sort((a, b) => a.seq - b.seq);
    const n = (await outbox.count("waiting")) - again.length;
    part("held-none").hidden = refused.length + n > 0;
    await lay("held-refused", refused);
    await lay("held-waiting", waiting);
    part("held-more").hidden = !n;
    part("held-count").textContent = n > waiting.length ? "and " + (n - waiting.length) + " more" : "";
  };
  const tell = (text) => {
    const box = part("refusal");
    box.textContent = text;
    box.hidden = false;
  };
  const tryAgain = async (r) => {
    const event = { ...r.event, id: scumble.uuid7() };
    if (Date.parse(event.clock) > Date.now()) event.clock = event.at = new Date().toISOString(); // the clock was wrong
    const { state, reason, from, wants, ...rest } = r;
    await outbox.add([{ ...rest, event, tried: Date.now(), picture: await outbox.picture(r.id) }], [r.id]);
    outbox.wake();
  };
  const letGo = async (r) => {
    const answer = await fetch("/bench/letgo", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ id: r.id, says: [r.title, r.car, r.stage, words(r)].filter(Boolean).join(" · ").slice(0, 1000) }),
    }).catch(() => null);
    if (!answer?.ok) return tell("The owner can’t be told just now: it stays. Let it go when the connection is back.");
    await outbox.remove(r.id);
  };
  // isSure asks once before an entry is let go; a double touch is one.
  const DOUBLE = 600; // ms
  const isSure = (button, r, now) => {
    if (button.dataset.asked) return now - Number(button.dataset.asked) > DOUBLE;
    button.dataset.asked = now;
    button.textContent = "Yes, let go";
    part("sure", button.closest("li")).textContent = "Let go of “" + words(r) + "”" + (r.title ? " on " + r.title : "") + "? It is not entered then. Touch again.";
    return false;
  };
  const decide = async (button, now) => {
    const r = await outbox.find(button.closest("[data-id]").dataset.id);
    if (!r || (button.dataset.heldDo === "letgo" && !isSure(button, r, now))) return;
    button.disabled = true;
    part("refusal").hidden = true; // of the try before
    await (button.dataset.heldDo === "again" ? tryAgain : letGo)(r);
  };
  document.addEventListener("click", async (e) => {
    const button = e.target.closest("button[data-held-do]");
    if (!button) return;
    try {
      await decide(button, e.timeStamp);
    } catch {
      tell("This tablet has no room left: it stays here as it is. Make room, then try again.");
    }
    button.disabled = false;
  });

  // fill opens a form with what a refused entry said; saved, it takes its place.
  const fill = async () => {
    const id = new URLSearchParams(location.search).get("change");
    const r = id && (await outbox.find(id));
    const form = r && document.querySelector(`form[data-event="${r.event.kind}"]`);
    if (!form) return;
    form.dataset.replaces = id;
    const said = new Map();
    for (const [name, value] of r.fields || []) said.set(name, [...(said.get(name) || []), value]);
    for (const input of form.querySelectorAll("input:not([type=hidden]), select, textarea")) {
      const values = said.get(input.name);
      if (/checkbox|radio/.test(input.type)) input.checked = Boolean(values?.includes(input.value));
      else if (values) input.value = values.shift() ?? "";
      input.closest("[data-stepper]")?.setAttribute("data-touched", "1");
    }
    const box = form.querySelector("[data-refusal]");
    if (box) {
      box.className = "refusal";
      box.textContent = "Not taken: " + r.reason;
      box.hidden = false;
    }
    form.dispatchEvent(new CustomEvent("scumble:filled", { bubbles: true }));
  };
  fill().catch(() => {});

  // What has just been entered is sent within a moment, as a rule: a page says that it waits
  // only when it still does then.
  const MOMENT = 20; // ms
  let due = 0;
  let shown = Promise.resolve(); // one at a time: the later look must have the last word
  const show = async () => {
    due = 0;
    for (const what of [counter, tiles, piece, together, notTaken]) await what();
  };
  const showSoon = () => (due ||= setTimeout(() => (shown = shown.then(show).catch(() => {})), MOMENT));
  for (const type of ["scumble:outbox", "scumble:refused"]) document.addEventListener(type, showSoon);
  showSoon();
  document.addEventListener("scumble:drawn", () => tiles().catch(() => {})); // a list was fetched anew
  scumble.words = words;
})();
