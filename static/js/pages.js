// Pages without network: brings the worker (sw.js) in and has it keep what the bench needs.
"use strict";
(() => {
  const workers = navigator.serviceWorker; // browsers keep it for encrypted connections
  const WHO = "scumble.person"; // who is signed in, for a page that nobody's name stands on
  scumble.pages = {
    // has tells whether the page opens without network.
    has: async (path) => Boolean(workers?.controller && self.caches && (await caches.match(new URL(path, location.href).pathname, { cacheName: "scumble-pages" }))),
    // answers tells whether the server does.
    answers: () => fetch("/bench/away", { cache: "no-store" }).then((a) => a.ok, () => false),
    person: () => localStorage.getItem(WHO),
  };
  const name = document.querySelector(".who b")?.textContent;
  if (name) localStorage.setItem(WHO, name);
  // The way back of a kept page leads to the list that was looked at last (copy.js).
  if (document.querySelector("[data-fresh]")) {
    sessionStorage.setItem("scumble.list", JSON.stringify({ href: location.pathname + location.search, word: document.querySelector("h1").textContent }));
  }
  if (!workers || !document.body.dataset.pass) return; // nobody is signed in
  const quietly = self.requestIdleCallback || ((what) => setTimeout(what, 2000));
  let worker = null;
  const keep = () => document.hidden || quietly(() => worker.postMessage("keep"));
  const begin = async () => {
    await workers.register("/bench/sw.js", { scope: "/bench", updateViaCache: "none" });
    worker = (await workers.ready).active;
    if (document.body.dataset.asOf) return; // no network
    keep();
    setInterval(keep, 5 * 60000);
    document.addEventListener("visibilitychange", keep); // the rounds stop while nobody looks
  };
  // A round is over: there may be more to keep.
  workers.addEventListener("message", ({ data: { kept, more } }) => {
    if (more) keep();
    else document.body.dataset.kept = "1";
    const line = document.querySelector("[data-pieces-kept]");
    if (line) line.textContent = kept;
  });
  begin().catch(() => {}); // nothing is kept then
})();
