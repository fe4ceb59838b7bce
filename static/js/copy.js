// A page that the tablet keeps (sw.js): it says how old it is, what is used once on a
// page from the server is made anew, and it goes when the server is back.
"use strict";
(() => {
  const { uuid7 } = scumble;
  const LISTS = ["/bench", "/bench/waiting", "/bench/hand"];
  for (const input of document.querySelectorAll("input[name=id], input[name=batch]")) input.value = uuid7();
  for (const box of document.querySelectorAll("[name=pieces]")) box.value = uuid7() + box.value.slice(36);
  for (const told of document.querySelectorAll("main > .notice-done, main > .undo")) told.remove();

  // The way back leads to the list that was looked at last, whichever the page was kept with.
  const list = JSON.parse(sessionStorage.getItem("scumble.list"));
  const back = document.querySelector(".back");
  if (list && back && LISTS.includes(back.pathname)) {
    back.href = list.href;
    back.lastChild.textContent = list.word;
  }

  // The copy of a send-back is of "something else": it takes any defect.
  const defect = new URLSearchParams(location.search).get("defect");
  const named = document.querySelector("input[name=defect]");
  if (defect && named && named.value !== defect) {
    named.value = defect;
    document.querySelector(".recipe.defect b").textContent = defect.replaceAll("-", " ");
  }

  const { asOf, piecesKept } = document.body.dataset;
  const line = Object.assign(document.createElement("p"), { className: "asof", textContent: `No network: as of ${scumble.asOf(asOf)}. ${piecesKept}` });
  line.setAttribute("role", "status");
  document.querySelector(".benchhead").after(line);

  // As soon as the server answers and has what waited, the page is fetched anew; where
  // somebody writes, or has just touched it, it only says so.
  const EVERY = 5000; // ms between two tries
  const QUIET = 10000; // ms after a touch, or since the page was opened by one
  let touched = 0;
  let written = false;
  document.addEventListener("pointerdown", (e) => (touched = e.timeStamp), true);
  for (const kind of ["input", "change"]) document.addEventListener(kind, () => (written = true));
  const isFree = () =>
    !written && !location.hash && performance.now() - touched > QUIET && !document.querySelector("[data-touched], form[data-busy]") && !document.activeElement.matches("input, select, textarea");
  const renew = async () => {
    if (document.hidden || !(await scumble.pages?.answers())) return;
    if ((await (await scumble.outboxed()).wake()) === "away") return;
    if (isFree()) return location.reload();
    if (line.querySelector("a")) return;
    line.replaceChildren("The network is back. ", Object.assign(document.createElement("a"), { href: location.pathname + location.search, textContent: "Show the page anew" }));
  };
  const tryRenew = () => renew().catch(() => {});
  setInterval(tryRenew, EVERY);
  addEventListener("online", tryRenew);
})();
