// Cautions that were read. A reading stands on the tablet before the server hears of it: it
// counts there for its person, its subject and the shop's day, so that a page that is kept
// from before opens past them. The server hears of it under its own person's pass, with the
// hour of it; a reading of somebody else waits until that person's pages open here again.
//
//   <form data-ack data-zone="Europe/Berlin">   the cautions, gone once they are read
//     <input type="hidden" name="stage" value="…">   their subject
"use strict";
(() => {
  const KEY = "scumble.read"; // [{person, subject, at, sent}], in localStorage
  const DAY = 25 * 3600000; // ms, the longest
  const LIFE = 30 * 24 * 3600000; // ms that what could not be sent is kept: as long as a pass
  const { person, pass, asOf } = document.body.dataset;
  const now = () => new Date().toISOString();
  const readings = () => {
    try {
      return JSON.parse(localStorage.getItem(KEY)) || [];
    } catch {
      return [];
    }
  };
  const counts = (r) => Date.now() - Date.parse(r.at) < (r.sent ? DAY : LIFE);
  // write keeps those that count yet. Where there is no room they are shown again, which
  // harms nobody.
  const write = (list) => {
    try {
      localStorage.setItem(KEY, JSON.stringify(list.filter(counts)));
    } catch {}
  };

  const dayOf = (t, zone) => new Date(t).toLocaleDateString("en-CA", { timeZone: zone });
  // A page from the server that shows them though it has heard of the reading knows better:
  // the tablet's clock may be wrong.
  const isRead = ({ dataset: { zone }, elements: { stage } }) =>
    readings().some((r) => (asOf || !r.sent) && r.person === person && r.subject === stage.value && dayOf(r.at, zone) === dayOf(now(), zone));

  // send tells the server of what this person has read. It outlives the page.
  const send = async () => {
    for (const { subject, at } of readings().filter((r) => r.person === person && !r.sent)) {
      const headers = { Accept: "application/json", "Scumble-Sent": now(), "Scumble-Pass": pass };
      const answer = await fetch("/bench/cautions", { method: "POST", headers, body: new URLSearchParams({ stage: subject, at }), keepalive: true });
      if (answer.status !== 204) return;
      write(readings().map((r) => (r.person === person && r.subject === subject && r.at === at ? { ...r, sent: true } : r)));
    }
  };
  let sending = Promise.resolve(); // one after another: nothing is sent twice
  const sendSoon = () => (sending = sending.then(send).catch(() => {})); // no network: another time
  if (!person || !pass) return;

  document.addEventListener("submit", (e) => {
    if (!("ack" in e.target.dataset)) return;
    e.preventDefault();
    write([...readings(), { person, subject: e.target.elements.stage.value, at: now(), sent: false }]);
    sendSoon();
    e.target.closest(".sheet").remove();
    document.querySelector("main").focus();
    scrollTo(0, 0);
  });
  for (const form of document.querySelectorAll("form[data-ack]")) if (isRead(form)) form.closest(".sheet").remove();
  sendSoon();
  addEventListener("online", sendSoon);
})();
