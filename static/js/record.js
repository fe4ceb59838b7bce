// What the outbox keeps beside an entry: who made it, when, on which page, and what it is
// about, so that it still says so where it was refused.
"use strict";
(() => {
  const person = document.body.dataset.person || "";
  // about says what an entry is about: its piece's line on a form of several, its own
  // form, or the page.
  const about = (form, event) => {
    const own = [...(form?.querySelectorAll("[name=pieces]") || [])].find((b) => b.value.split(" ")[1] === event.piece);
    const { title = "", car = "", stage = "" } = { ...document.querySelector("main").dataset, ...form?.dataset, ...own?.dataset };
    return { title, car, stage };
  };
  // signed says who makes an entry, of what, and when.
  const signed = (form, event) => ({ person, name: document.querySelector(".who b")?.textContent || "", made: Date.now(), ...about(form, event) });
  const records = (form, events, button) => {
    const fields = [...new FormData(form, button)].filter(([name, value]) => typeof value === "string" && !["id", "now"].includes(name));
    return events.map((event) => ({ ...signed(form, event), event, fields, page: location.pathname + location.search }));
  };
  Object.assign(scumble, { signed, records });
})();
