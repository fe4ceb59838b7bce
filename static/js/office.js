// The office's own script: search key, picking rows and pieces, copying, live
// updates. Everything here is a convenience; the pages work without it.
"use strict";
(() => {
  const say = (text) => {
    const box = document.querySelector("[data-say]");
    if (box) box.textContent = text;
  };

  // "/" goes to the search box from anywhere but a field.
  document.addEventListener("keydown", (e) => {
    if (e.key !== "/" || e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.target.closest("input, textarea, select, [contenteditable]")) return;
    const search = document.querySelector("[data-search]");
    if (!search) return;
    e.preventDefault();
    search.focus();
    search.select();
  });

  // A form with errors begins at its summary.
  document.querySelector(":not(form[method=get]) > [data-summary]")?.focus();

  // What only works with a script shows only with one.
  const unhide = (root) => {
    for (const b of root.querySelectorAll("[data-copy], [data-tick], .stepper [data-step]")) b.hidden = false;
  };
  unhide(document);
  document.addEventListener("htmx:afterSwap", (e) => unhide(e.target));

  document.addEventListener("click", async (e) => {
    const copy = e.target.closest("[data-copy]");
    if (copy) {
      const field = document.querySelector(copy.dataset.copy);
      field.select();
      try {
        await navigator.clipboard.writeText(field.value);
      } catch {
        document.execCommand("copy"); // plain http has no clipboard
      }
      copy.textContent = copy.dataset.copied;
      say(copy.dataset.copied);
      return;
    }
    const tick = e.target.closest("[data-tick]");
    if (tick) {
      for (const box of tick.closest("fieldset").querySelectorAll("input[type=checkbox]")) box.checked = tick.dataset.tick === "all";
      return;
    }
    const step = e.target.closest("[data-step]");
    if (step) {
      const input = step.closest("[data-stepper]").querySelector("input");
      const to = (parseFloat(input.value) || 0) + parseFloat(step.dataset.step);
      input.value = String(Math.max(0, Math.round(to * 4) / 4));
      input.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });

  // --- picking: rows of a table and pieces of a plan are one selection --------
  const boxes = () => [...document.querySelectorAll("[data-select-table] input[type=checkbox][data-piece]")];
  const boxOf = (id) => boxes().find((b) => b.dataset.piece === id);
  let last = null;

  const mirror = () => {
    const picked = new Set(boxes().filter((b) => b.checked).map((b) => b.dataset.piece));
    for (const a of document.querySelectorAll("[data-plan] a[data-piece]")) {
      a.classList.toggle("selected", picked.has(a.dataset.piece));
    }
    for (const n of document.querySelectorAll("[data-picked]")) n.textContent = String(picked.size);
    for (const bar of document.querySelectorAll("[data-bulk]")) bar.hidden = picked.size === 0;
  };
  const pick = (box, on) => {
    if (box.checked === on) return;
    box.checked = on;
    box.dispatchEvent(new Event("change", { bubbles: true }));
  };

  document.addEventListener("change", (e) => {
    if (e.target.matches("[data-select-all]")) boxes().forEach((b) => (b.checked = e.target.checked));
    if (e.target.closest("[data-select-table]")) mirror();
  });
  document.addEventListener("htmx:afterSwap", mirror);
  mirror();

  // Shift and click: everything between the last pick and this one.
  document.addEventListener("click", (e) => {
    if (dragged) {
      dragged = false;
      e.preventDefault();
      return;
    }
    const piece = e.target.closest("[data-plan] a[data-piece]");
    if (piece && (e.shiftKey || e.ctrlKey || e.metaKey)) {
      const box = boxOf(piece.dataset.piece);
      if (!box) return;
      e.preventDefault();
      pick(box, !box.checked);
      last = box;
      return;
    }
    if (!e.target.matches("[data-select-table] input[data-piece]")) return;
    const all = boxes();
    const [from, to] = [all.indexOf(last), all.indexOf(e.target)];
    if (e.shiftKey && from >= 0) {
      for (const b of all.slice(Math.min(from, to), Math.max(from, to) + 1)) pick(b, e.target.checked);
    }
    last = e.target;
  });

  // Drag: a frame over the plan picks the pieces in it; along the first column
  // of a table it picks the rows.
  let start = null;
  let frame = null;
  let dragged = false;

  const hits = (r) =>
    [...document.querySelectorAll("[data-plan] a[data-piece], [data-select-table] input[data-piece]")].filter((el) => {
      const b = el.getBoundingClientRect();
      return b.width && b.left < r.right && b.right > r.left && b.top < r.bottom && b.bottom > r.top;
    });

  document.addEventListener("pointerdown", (e) => {
    if (e.button !== 0 || e.pointerType !== "mouse" || !boxes().length) return;
    if (e.target.closest("[data-plan]") || e.target.closest("[data-select-table] td:first-child")) {
      start = { x: e.pageX, y: e.pageY };
    }
  });
  document.addEventListener("dragstart", (e) => {
    if (start) e.preventDefault();
  });
  document.addEventListener("pointermove", (e) => {
    if (!start) return;
    const w = Math.abs(e.pageX - start.x);
    const h = Math.abs(e.pageY - start.y);
    if (!frame) {
      if (w + h < 8) return;
      frame = document.createElement("div");
      frame.className = "lasso";
      document.body.append(frame);
      document.body.classList.add("selecting");
    }
    frame.style.left = Math.min(e.pageX, start.x) + "px";
    frame.style.top = Math.min(e.pageY, start.y) + "px";
    frame.style.width = w + "px";
    frame.style.height = h + "px";
  });
  document.addEventListener("pointerup", () => {
    if (frame) {
      const found = hits(frame.getBoundingClientRect());
      for (const el of found) {
        const box = boxOf(el.dataset.piece);
        if (box) pick(box, true);
      }
      frame.remove();
      document.body.classList.remove("selecting");
      dragged = true;
      setTimeout(() => (dragged = false), 0); // the click of this very release, no later one
      say(found.length + " picked");
    }
    start = frame = null;
  });

  // What somebody opened stays open when a page fetches itself anew.
  let opened = [];
  document.addEventListener("htmx:beforeSwap", () => (opened = [...document.querySelectorAll("details[id][open]")].map((d) => d.id)));
  document.addEventListener("htmx:afterSwap", () => {
    for (const id of opened) document.getElementById(id)?.setAttribute("open", "");
  });

  // --- live: one event says that something changed; the page fetches ----------
  if (document.body.hasAttribute("data-live")) {
    let due = 0;
    const changed = () => {
      clearTimeout(due);
      due = setTimeout(() => document.body.dispatchEvent(new CustomEvent("scumble:changed")), 120);
    };
    const source = new EventSource(document.body.dataset.liveFrom);
    // After a cut the browser says what it heard last, and is told the rest.
    source.addEventListener("changed", changed);
    addEventListener("pagehide", () => source.close());
  }
})();
