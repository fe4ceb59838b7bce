// The bench's worker: it keeps the tablet's pages, so that they open without network. It
// holds no entry: those are in the outbox of the pages. The program puts VERSION and SHELL
// (the addresses of the style sheets, scripts and fonts) before this text.
//
// What is kept, and for how long:
//   scumble-shell-VERSION  static files; another version's go when this one takes over,
//                          which is when no page of the older one is open any more
//   scumble-pages          pages of one person at a time, though the server says no-store:
//                          they are wiped when the person signs out, when somebody else's
//                          page comes, and when the server turns the tablet away
//   scumble-state          whose they are
// Nobody is signed out without network: the next person could not sign in either, and the
// tablet would be of no use to anybody.
"use strict";
const FILES = "scumble-shell-" + VERSION;
const PAGES = "scumble-pages";
const STATE = "scumble-state";
const SIGN_OUT = "/bench/signout";
const AWAY = "/bench/away";
const STILL = AWAY + "?still"; // says who is still signed in
const FIND = "/bench/find";
const COPY = SHELL.find((address) => address.startsWith("/static/js/copy.js")); // what a copy needs besides
const DOORS = ["/bench/people", "/bench/enrol"]; // where who may not look is led to
const REST = 60000; // ms between two looks at what has changed
const SLOW = 4000; // ms until the copy is shown instead

// --- what is known between two starts ---------------------------------------------------
const recall = async (key) => (await (await caches.open(STATE)).match("/bench/state/" + key))?.text();
const note = async (key, text) => (await caches.open(STATE)).put("/bench/state/" + key, new Response(text));
const forget = async (key) => (await caches.open(STATE)).delete("/bench/state/" + key);
const wipe = async () => {
  await caches.delete(PAGES);
  for (const key of ["person", "tags", "refreshed"]) await forget(key);
};

// --- pages ------------------------------------------------------------------------------
const isPage = (answer) => answer.ok && (answer.headers.get("Content-Type") || "").startsWith("text/html");
// turnedAway tells whether the server has answered that nobody, or not this tablet, may
// look: it leads to where that is mended.
const turnedAway = (answer) => answer.status === 401 || (answer.redirected && DOORS.includes(new URL(answer.url).pathname));

// keep puts a page into the cache, packed, with the hour of it. A page of somebody else
// wipes first.
const keep = async (address, answer) => {
  const person = answer.headers.get("Scumble-Person");
  if (!isPage(answer) || !person || answer.redirected) return;
  if ((await recall("person")) !== person) {
    await wipe();
    await note("person", person);
  }
  const headers = new Headers(answer.headers);
  headers.set("Scumble-Kept", new Date().toISOString());
  const copy = new Response(answer.body.pipeThrough(new CompressionStream("gzip")), { status: answer.status, headers });
  await (await caches.open(PAGES)).put(address, copy);
};

// kept gives the copy of a page, marked with its hour. The address without its question
// is as good where the very one is not kept; of defects, the page that takes any.
const kept = async (url) => {
  if (url.pathname === FIND && url.searchParams.get("code")) return found(url.searchParams.get("code"));
  const pages = await caches.open(PAGES);
  const asked = url.pathname + url.search;
  const near = url.searchParams.has("defect") ? url.pathname + "?defect=other" : url.pathname;
  const copy = (await pages.match(asked)) || (await pages.match(near));
  if (!copy) return;
  const headers = new Headers(copy.headers);
  headers.delete("Content-Length");
  headers.delete("Content-Encoding");
  const text = await new Response(copy.body.pipeThrough(new DecompressionStream("gzip"))).text();
  const marked = text
    .replace("</head>", `<script src="${COPY}" defer></script></head>`)
    .replace('<body class="bench"', `<body class="bench" data-as-of="${headers.get("Scumble-Kept")}"`);
  return new Response(marked, { headers });
};
// found leads to the kept page of the piece whose label was read or typed: its page came
// with the code. What it looks like is cleaned as the server does (labels.ReadScan).
const found = async (typed) => {
  const text = /[?&]code=([^&]*)/.exec(typed)?.[1] ?? typed;
  const code = text.replace(/[\s\p{Pd}\u00ad]/gu, "").toUpperCase();
  const pages = await caches.open(PAGES);
  for (const request of await pages.keys()) {
    const { pathname } = new URL(request.url);
    if (/^\/bench\/pieces\/[^/]+$/.test(pathname) && (await pages.match(request)).headers.get("Scumble-Code") === code) return Response.redirect(pathname, 303);
  }
  return Response.redirect(AWAY + "?code=" + encodeURIComponent(typed), 303);
};
const away = async () => (await caches.match(AWAY)) || Response.error();

const page = async (event, url) => {
  const from = fetch(event.request).then(async (answer) => {
    if (answer.status >= 500) throw answer;
    if (answer.type === "opaqueredirect") return answer;
    if (turnedAway(answer) || DOORS.includes(url.pathname)) await wipe();
    else event.waitUntil(keep(url.pathname + url.search, answer.clone()));
    return answer;
  });
  const late = new Promise((resolve) => setTimeout(resolve, SLOW)).then(() => kept(url));
  const first = await Promise.race([from.catch(() => undefined), late]);
  return first || (await from.catch(async (fault) => (await kept(url)) || (fault instanceof Response ? fault : away())));
};

const signOut = async (event) => {
  try {
    const answer = await fetch(event.request);
    if (answer.status < 500) await wipe();
    return answer;
  } catch {
    return Response.redirect(STILL, 303);
  }
};

// file gives a static file: the very one, or from the server, or another version of it,
// which an older page may ask for.
const file = async (request) => {
  const found = await caches.match(request);
  if (found) return found;
  try {
    return await fetch(request);
  } catch {
    return (await caches.match(request, { ignoreSearch: true })) || Response.error();
  }
};

addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  const { method, mode } = event.request;
  if (method === "GET" && url.pathname.startsWith("/static/")) event.respondWith(file(event.request));
  else if (method === "POST" && url.pathname === SIGN_OUT) event.respondWith(signOut(event));
  else if (method === "GET" && mode === "navigate" && /^\/bench(\/|$)/.test(url.pathname)) event.respondWith(page(event, url));
});

// --- what is fetched quietly ------------------------------------------------------------
// refresh fetches the pages that the server names and that are not kept as they are. One at
// a time: who works at the tablet must not notice.
let refreshing = false;
const refresh = async () => {
  const last = Date.parse(await recall("refreshed"));
  if (refreshing || Date.now() - last < REST) return;
  refreshing = true;
  try {
    const quiet = { headers: { "Scumble-Keep": "1" } };
    const answer = await fetch("/bench/keep", quiet);
    if (!answer.ok || answer.redirected) return turnedAway(answer) && wipe();
    const list = await answer.json();
    const tags = JSON.parse((await recall("tags")) || "{}");
    const same = (await recall("person")) === list.person;
    const pages = await caches.open(PAGES);
    const wanted = new Map(list.pages.map((p) => [p.path, p.tag]));
    for (const request of await pages.keys()) {
      const url = new URL(request.url);
      if (!wanted.has(url.pathname + url.search)) await pages.delete(request);
    }
    const now = {};
    for (const [path, tag] of wanted) {
      if (!same || tags[path] !== tag) {
        const fresh = await fetch(path, { ...quiet, redirect: "manual" }); // what leads elsewhere has no page just now
        if (turnedAway(fresh)) return wipe();
        if (fresh.status >= 500) return;
        await keep(path, fresh);
      }
      now[path] = tag;
      await note("tags", JSON.stringify({ ...tags, ...now }));
    }
    await note("tags", JSON.stringify(now));
    await note("refreshed", new Date().toISOString());
  } catch {
    // no network: what is kept stays
  } finally {
    refreshing = false;
  }
};
addEventListener("message", (event) => {
  if (event.data === "keep") event.waitUntil(refresh().then(() => event.source?.postMessage("kept")));
});

// --- versions ----------------------------------------------------------------------------
addEventListener("install", (event) => event.waitUntil(caches.open(FILES).then((c) => c.addAll([...SHELL, AWAY]))));
addEventListener("activate", (event) =>
  event.waitUntil(
    caches.keys().then((names) => Promise.all(names.filter((n) => n.startsWith("scumble-shell-") && n !== FILES).map((n) => caches.delete(n))))
  )
);
