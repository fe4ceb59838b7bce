// The finish at the bench, on top of bench.js: coats, passes and readings become entries
// with their figures, and one coat becomes an entry on each of several pieces. Without it
// the same forms post in the ordinary way.
//
//   name="coat.wet_um" becomes {"coat": {"wet_um": …}}; an empty field says nothing
//   <input type="hidden" name="units" value="us">  mil and °F, sent as µm and °C
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

  document.addEventListener("scumble:entry", (e) => {
    const { data, events } = e.detail;
    if (!fill(events[0], data)) e.detail.events = null;
    else if ("together" in e.target.dataset) {
      e.detail.events = data.getAll("pieces").map((line) => {
        const [id, piece, step, number, ml] = line.split(" ");
        return { ...events[0], id, piece, step, coat: { ...events[0].coat, number: Number(number), ml: Number(ml) } };
      });
    }
  });

  // settle leaves those pieces ticked that were refused, and says why each was.
  const settle = (form, outcomes, newID) => {
    const says = [];
    for (const o of outcomes) {
      const box = [...form.querySelectorAll("[name=pieces]")].find((b) => b.value.startsWith(o.id));
      if (o.outcome !== "refused") {
        box.checked = false;
        box.disabled = true;
        continue;
      }
      box.value = newID() + box.value.slice(o.id.length);
      says.push(box.dataset.title + ": " + (o.reason || "refused."));
    }
    return (says.length < outcomes.length ? "The others are saved. " : "") + says.join(" ");
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
