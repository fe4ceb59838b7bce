// The finish at the bench, on top of bench.js: coats, passes and readings become entries
// with their figures, and one coat becomes an entry on each of several pieces. Without it
// the same forms post in the ordinary way.
//
//   name="coat.wet_um" becomes {"coat": {"wet_um": …}}; an empty field says nothing
//   <input type="hidden" name="units" value="us">  mil and °F, sent as µm and °C
//   data-judge                                     what is typed and ticked is judged before Save
//   <div id="…" data-judged>                       a part that the judgement changes
//   data-together                                  an entry for each ticked name="pieces",
//                                                  whose value is "id piece step coat mL"
//   <output data-mean="name">                      the mean of the fields of that name
"use strict";
(() => {
  const FIGURE = /^(coat\.(?!lots)|reading\.(film_um|gloss|lab))/;
  const LIST = /^(coat\.lots|reading\.film_um)$/;
  const FLAG = /^(cut\.wet|reading\.(baseline|under_clear))$/;

  // figure reads a number with point or comma; both together may be meant in two ways.
  const figure = (text) => (text.includes(",") && text.includes(".") ? NaN : Number(text.replace(",", ".").replace("−", "-")));
  const inMetric = (name, v) => {
    if (name.endsWith("_um")) return v * 25.4;
    if (name.endsWith("_c")) return (v - 32) / 1.8;
    return v;
  };
  const valueOf = (name, text, us) => {
    if (FLAG.test(name)) return true;
    if (name === "coat.lots") return { lot: Number(text) };
    if (!FIGURE.test(name)) return text;
    if (name === "coat.thinned") return figure(text) / 100;
    return us ? inMetric(name, figure(text)) : figure(text);
  };
  const put = (entry, name, value) => {
    const path = name.split(".");
    const last = path.pop();
    let at = entry;
    for (const part of path) at = at[part] ||= {};
    if (LIST.test(name)) (at[last] ||= []).push(value);
    else at[last] = value;
  };

  // fill adds what the form says of the film. False when a figure can't be read: the
  // server says at which field.
  const fill = (entry, data) => {
    const us = data.get("units") === "us";
    const own = data.get("spot_own")?.trim();
    for (const [name, raw] of data) {
      const text = name === "reading.spot" && own ? own : String(raw).trim();
      if (!name.includes(".") || !text) continue;
      const value = valueOf(name, text, us);
      if (Number.isNaN(value)) return false;
      put(entry, name, value);
    }
    for (const name of ["ref", "batch"]) if (data.get(name)) entry[name] = data.get(name);
    return true;
  };

  // lacking says what the judged parts of a form for several pieces still ask for: else each
  // of the pieces would be refused, and the owner would hear of every one.
  const lacking = (form, data) => {
    if (String(data.get("reason") || data.get("own") || "").trim()) return "";
    const asks = (part) => form.querySelector("[data-judged] " + part);
    if (asks("#scuffed:not(:checked)") || asks("[data-wants=reason]:not([hidden], [data-offered])")) {
      for (const part of form.querySelectorAll("[data-wants=reason][hidden]")) {
        part.hidden = false;
        part.dataset.offered = "";
      }
      return "Nothing is saved yet. Put it right, or say why it is so.";
    }
    return "";
  };

  document.addEventListener("scumble:entry", (e) => {
    const { data, events } = e.detail;
    forget();
    if ("together" in e.target.dataset) e.detail.lacks = lacking(e.target, data);
    if (data.has("again") || !fill(events[0], data)) e.detail.events = null;
    else if ("together" in e.target.dataset) {
      e.detail.events = data.getAll("pieces").map((line) => {
        const [id, piece, step, number, ml] = line.split(" ");
        return { ...events[0], id, piece, step, coat: { ...events[0].coat, number: Number(number), sheet_ml: Number(ml) } };
      });
    }
  });

  // What is typed and ticked changes what the rules ask and, of several pieces, what is
  // mixed: the server works both out and saves nothing, and its answer takes their places.
  // The fields stay as they are under the finger; only what each piece takes is set. The
  // last answer counts, and none does once the form is sent.
  const SETTLED = 250; // ms: a button is touched several times in a row
  let asked = 0;
  let due = 0;
  const forget = () => {
    clearTimeout(due);
    return ++asked;
  };
  // sayUnchecked says above Save that nothing is judged; the next answer takes its place.
  const sayUnchecked = (form) => {
    const line = form.querySelector("#cautions");
    if (!line || line.querySelector(".unchecked")) return;
    line.append(Object.assign(document.createElement("span"), { className: "unchecked", textContent: "No network: not checked before Save." }));
  };
  // clearRefusal takes a refusal away that what is judged since has taken the place of;
  // untouched, the form must say the same at a field, which is brought into sight.
  const clearRefusal = (form, untouched) => {
    const box = form.querySelector("[data-refusal]");
    if (!box || box.hidden) return;
    const at = [...form.querySelectorAll("[data-judged] .error")].find((p) => box.textContent.includes(p.textContent));
    if (untouched && !at) return;
    box.hidden = true;
    if (untouched) at.closest(".field").scrollIntoView({ block: "center" });
  };
  const workOut = async (form, untouched = false) => {
    const turn = forget();
    const body = new URLSearchParams(new FormData(form));
    body.set("again", "1");
    const answer = await fetch(form.action, { method: "POST", body }).catch(() => null);
    if (turn !== asked) return;
    if (!answer) return sayUnchecked(form);
    if (!answer.ok) return; // Save asks
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (turn !== asked) return;
    for (const from of page.querySelectorAll("[data-judged]")) {
      const to = document.getElementById(from.id);
      if (to && !to.contains(document.activeElement)) to.replaceChildren(...from.childNodes);
    }
    for (const box of form.querySelectorAll("[name=pieces]")) {
      const worked = page.getElementById(box.id)?.value.split(" ")[4];
      if (worked) box.value = [...box.value.split(" ").slice(0, 4), worked].join(" ");
    }
    clearRefusal(form, untouched);
  };
  const judge = (e) => {
    const form = e.target.closest("[data-judge]");
    if (!form || (e.type === "click" && !e.target.closest("[data-step]"))) return;
    forget();
    due = setTimeout(workOut, SETTLED, form);
  };
  for (const type of ["change", "click"]) document.addEventListener(type, judge);
  // What was filled in from a refused entry is judged at once, and what was refused for a
  // figure; a reason or a word that is wanted is asked for already.
  document.addEventListener("scumble:filled", (e) => {
    if ("judge" in e.target.dataset) workOut(e.target, true);
  });
  document.addEventListener("scumble:refused", (e) => {
    if ("judge" in e.target.dataset && !e.detail.outcomes.some((o) => o.wants)) workOut(e.target, true);
  });
  if (document.body.dataset.asOf) document.querySelectorAll("form[data-judge]").forEach(sayUnchecked); // a kept page
  addEventListener("online", () => document.querySelectorAll("form[data-judge]:has(.unchecked)").forEach((form) => workOut(form)));

  // settle leaves those pieces ticked that were refused, and says each cause once.
  const settle = (form, outcomes, newID) => {
    const causes = new Map();
    let saved = 0;
    for (const o of outcomes) {
      const box = [...form.querySelectorAll("[name=pieces]")].find((b) => b.value.startsWith(o.id));
      if (o.outcome !== "refused") {
        box.checked = false;
        box.disabled = true;
        saved++;
        continue;
      }
      box.value = newID() + box.value.slice(o.id.length);
      const reason = o.reason || "refused.";
      causes.set(reason, [...(causes.get(reason) || []), box.dataset.title]);
    }
    const says = [...causes].map(([reason, titles]) => titles.join("; ") + ": " + reason);
    return (saved ? "The others are saved. " : "") + says.join(" ");
  };
  document.addEventListener("scumble:refused", (e) => {
    if ("together" in e.target.dataset) e.detail.says = settle(e.target, e.detail.outcomes, e.detail.newID);
  });

  document.addEventListener("input", (e) => {
    const out = e.target.form?.querySelector("[data-mean]");
    if (!out || e.target.name !== out.dataset.mean) return;
    const list = new FormData(e.target.form).getAll(out.dataset.mean).filter((v) => v.trim());
    const mean = list.reduce((sum, v) => sum + figure(v), 0) / list.length;
    out.textContent = Number.isFinite(mean) ? String(Math.round(mean * 10) / 10) : "–";
  });
})();
