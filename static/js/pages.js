// Pages without network: brings the worker (sw.js) in, has it keep what the bench needs,
// and says of a page that it keeps how old it is.
"use strict";
(() => {
  const { uuid7 } = scumble;
  const asOf = document.body.dataset.asOf;

  // What is used once on a page from the server would be used again on a copy.
  if (asOf) {
    for (const input of document.querySelectorAll("input[name=id]")) input.value = uuid7();
    for (const box of document.querySelectorAll("[name=pieces]")) box.value = uuid7() + box.value.slice(36);
    const defect = new URLSearchParams(location.search).get("defect");
    const named = document.querySelector("input[name=defect]");
    if (defect && named && named.value !== defect) {
      // The copy is of "something else": it takes any.
      named.value = defect;
      document.querySelector(".recipe.defect b").textContent = defect.replaceAll("-", " ");
    }
    for (const told of document.querySelectorAll("main > .notice-done, main > .undo")) told.remove();
    const at = new Date(asOf);
    const today = at.toDateString() === new Date().toDateString();
    const day = today ? "" : at.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" }) + ", ";
    const line = Object.assign(document.createElement("p"), { className: "asof", textContent: "No network: as of " + day + at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" }) });
    line.setAttribute("role", "status");
    document.querySelector(".benchhead").after(line);
  }

  const workers = navigator.serviceWorker; // browsers keep it for encrypted connections
  scumble.pages = {
    // has tells whether the page opens without network.
    has: async (path) => Boolean(workers?.controller && self.caches && (await caches.match(new URL(path, location.href).pathname, { cacheName: "scumble-pages" }))),
  };
  if (!workers || !document.body.dataset.pass) return; // nobody is signed in
  const quietly = self.requestIdleCallback || ((what) => setTimeout(what, 2000));
  const begin = async () => {
    await workers.register("/bench/sw.js", { scope: "/bench", updateViaCache: "none" });
    const { active } = await workers.ready;
    if (asOf) return;
    const keep = () => document.hidden || quietly(() => active.postMessage("keep"));
    keep();
    setInterval(keep, 5 * 60000);
  };
  workers.addEventListener("message", (e) => e.data === "kept" && (document.body.dataset.kept = "1"));
  addEventListener("load", () => begin().catch(() => {})); // nothing is kept then
})();
