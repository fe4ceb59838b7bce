// Draws what words have found among the pages that the tablet keeps, on the copy of the page
// that finds; the worker (sw.js) has looked: data-found of the body, [{path, about}].
"use strict";
(() => {
  const MOST = 40; // are drawn
  document.querySelector("[name=code]").value = new URLSearchParams(location.search).get("code");
  const hits = JSON.parse(document.body.dataset.found);
  const box = document.querySelector("[data-kept-hits]").content.cloneNode(true);
  box.querySelector("h2").textContent = hits.length + " found on this tablet" + (hits.length > MOST ? ". Add a word." : "");
  const list = box.querySelector("ol");
  const line = list.firstElementChild;
  const lines = hits.slice(0, MOST).map(({ path, about }) => {
    const item = line.cloneNode(true);
    const [name, ...rest] = about.split(" · ");
    item.querySelector("a").href = path;
    item.querySelector("bdi").textContent = name;
    item.querySelector(".tile-car").textContent = rest.join(" · ");
    return item;
  });
  list.replaceChildren(...lines);
  document.querySelector("main").append(box);
})();
