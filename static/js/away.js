// The page that stands where neither the server nor a copy can be had: it leads to what the
// tablet keeps, says how many pieces that are, who is still signed in, and goes as soon as the server answers.
"use strict";
(() => {
  const EVERY = 5000; // ms between two tries
  const asked = new URLSearchParams(location.search);
  const show = (name) => {
    document.querySelector("[data-" + name + "]").hidden = false;
    document.querySelector("[data-not-kept]").hidden = true;
  };

  const lead = async () => {
    for (const link of document.querySelectorAll("[data-if-kept]")) link.hidden = !(await scumble.pages.has(link.getAttribute("href")));
  };
  const sayWho = () => {
    const name = scumble.pages.person();
    if (!asked.has("still") || !name) return;
    document.querySelector("[data-still] b").textContent = name;
    show("still");
  };
  // The worker tells what is kept; a page that the server sent has nothing to tell.
  const sayKept = () => {
    const { piecesKept, freshAt } = document.body.dataset;
    const line = document.querySelector("[data-kept-pieces]");
    line.hidden = !piecesKept;
    if (!piecesKept) return;
    const until = freshAt ? `fresh until ${scumble.asOf(freshAt)}` : "not all fetched yet";
    line.textContent = (/^\d/.test(piecesKept) ? `${piecesKept}, ${until}` : piecesKept) + ".";
  };
  const goOn = async () => {
    if (document.hidden || !(await scumble.pages?.answers())) return;
    if (asked.has("code")) location.replace("/bench/find?code=" + encodeURIComponent(asked.get("code")));
    else if (location.pathname === "/bench/away") location.replace("/bench");
    else location.reload();
  };
  if (asked.has("code")) show("unknown");
  sayKept();
  const begin = async () => {
    await scumble.outboxed(); // what knows of kept pages comes with it
    sayWho();
    await lead();
  };
  begin().catch(() => {});
  setInterval(goOn, EVERY);
  addEventListener("online", goOn);
  document.addEventListener("visibilitychange", goOn);
})();
