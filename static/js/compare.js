// Two photos over one another: the slider says how much of the first is seen.
//
//   <div data-over hidden> … <input type="range" min="0" max="100"> </div>
"use strict";
for (const over of document.querySelectorAll("[data-over]")) {
  const slider = over.querySelector("input[type=range]");
  const cut = () => {
    over.style.setProperty("--cut", slider.value + "%");
    slider.setAttribute("aria-valuetext", slider.value + " % before");
  };
  slider.addEventListener("input", cut);
  cut();
  over.hidden = false;
}
