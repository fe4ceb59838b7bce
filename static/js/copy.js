// A page that the tablet keeps (sw.js): it says how old it is, and what is used once on a
// page from the server is made anew.
"use strict";
(() => {
  const { uuid7 } = scumble;
  for (const input of document.querySelectorAll("input[name=id], input[name=batch]")) input.value = uuid7();
  for (const box of document.querySelectorAll("[name=pieces]")) box.value = uuid7() + box.value.slice(36);
  for (const told of document.querySelectorAll("main > .notice-done, main > .undo")) told.remove();

  // The copy of a send-back is of "something else": it takes any defect.
  const defect = new URLSearchParams(location.search).get("defect");
  const named = document.querySelector("input[name=defect]");
  if (defect && named && named.value !== defect) {
    named.value = defect;
    document.querySelector(".recipe.defect b").textContent = defect.replaceAll("-", " ");
  }

  const at = new Date(document.body.dataset.asOf);
  const hour = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const today = at.toDateString() === new Date().toDateString();
  const day = today ? "" : at.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" }) + ", ";
  const line = Object.assign(document.createElement("p"), { className: "asof", textContent: "No network: as of " + day + hour });
  line.setAttribute("role", "status");
  document.querySelector(".benchhead").after(line);
})();
