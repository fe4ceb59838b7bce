// The number pad writes into the PIN field, and keeps the tablet's own away.
"use strict";
(() => {
  for (const pad of document.querySelectorAll("[data-pad]")) {
    pad.hidden = false;
    document.querySelector("[data-pin]").inputMode = "none";
  }
  document.addEventListener("click", (e) => {
    const key = e.target.closest("[data-digit]");
    if (!key) return;
    const pin = document.querySelector("[data-pin]");
    pin.value = key.dataset.digit === "back" ? pin.value.slice(0, -1) : pin.value + key.dataset.digit;
  });
})();
