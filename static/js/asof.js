// scumble.asOf gives the hour of a copy as one reads it: with its day where that is not today.
"use strict";
scumble.asOf = (iso) => {
  const at = new Date(iso);
  const hour = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (at.toDateString() === new Date().toDateString()) return hour;
  return at.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" }) + ", " + hour;
};
