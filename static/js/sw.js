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
//   scumble-state          whose they are, and what is known of each
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
const DOORS = ["/bench/people", "/bench/enrol"]; // where who may not look is led to
const script = (name) => SHELL.find((address) => address.startsWith("/static/js/" + name + ".js"));
const COPY = [script("asof"), script("copy")]; // what a copy needs besides
const FOUND = script("found"); // draws what words have found
const REST = 60000; // ms between two looks at what has changed
const ROUND = 20000; // ms of fetching at a time: a worker that is at it for minutes is stopped
const MOST = 30e6; // bytes of pages, packed
const PIECE = 1e5; // bytes, more than the pages of one piece take
const LEAST = 3e6; // bytes that they may take however full the tablet is
const FREE = 80e6; // bytes that are left to photos
const SLOW = 4000; // ms until the copy is shown instead

// --- what is known between two starts ---------------------------------------------------
const recall = async (key) => (await (await caches.open(STATE)).match("/bench/state/" + key))?.text();
const note = async (key, text) => (await caches.open(STATE)).put("/bench/state/" + key, new Response(text));
const forget = async (key) => (await caches.open(STATE)).delete("/bench/state/" + key);
let wiped = 0; // how often since this worker woke
const wipe = async () => {
  wiped++;
  await caches.delete(PAGES);
  for (const key of ["person", "held", "refreshed"]) await forget(key);
};
// held is what is kept of the server's list: {pieces: how many the shop has, pages: {path:
// {tag, bytes, code, about}}}.
const recallHeld = async () => JSON.parse((await recall("held")) || '{"pieces":0,"pages":{}}');
const isPiece = (path) => path.startsWith("/bench/pieces/");
// onTablet says how many pieces are kept, for whatever page shows it.
const onTablet = async () => {
  const { pieces, pages } = await recallHeld();
  const kept = Object.keys(pages).filter(isPiece).length;
  return kept ? `${kept} of ${pieces} pieces on this tablet` : "No piece is on this tablet yet";
};

// --- pages ------------------------------------------------------------------------------
const isPage = (answer) => answer.ok && (answer.headers.get("Content-Type") || "").startsWith("text/html");
// turnedAway tells whether the server has answered that nobody, or not this tablet, may
// look: it leads to where that is mended.
const turnedAway = (answer) => answer.status === 401 || (answer.redirected && DOORS.includes(new URL(answer.url).pathname));

// keep puts a page into the cache, packed, with the hour of it, and gives its bytes there. A
// page of somebody else wipes first.
const keep = async (address, answer) => {
  const person = answer.headers.get("Scumble-Person");
  if (!isPage(answer) || !person || answer.redirected) return 0;
  if ((await recall("person")) !== person) {
    await wipe();
    await note("person", person);
  }
  const begun = wiped;
  const headers = new Headers(answer.headers);
  headers.set("Scumble-Kept", new Date().toISOString());
  const packed = await new Response(answer.body.pipeThrough(new CompressionStream("gzip"))).arrayBuffer();
  if (wiped !== begun) return 0;
  await (await caches.open(PAGES)).put(address, new Response(packed, { status: answer.status, headers }));
  return packed.byteLength;
};

// kept gives the copy of a page, marked with its hour. The address without its question
// is as good where the very one is not kept; of defects, the page that takes any.
const kept = async (url) => {
  if (url.pathname === FIND && url.searchParams.get("code")) return found(url);
  const near = url.searchParams.has("defect") ? url.pathname + "?defect=other" : url.pathname;
  return (await copyOf(url.pathname + url.search)) || (await copyOf(near));
};
// copyOf gives the copy with the scripts that it needs, and with what data gives them.
const copyOf = async (address, scripts = [], data = {}) => {
  const copy = await (await caches.open(PAGES)).match(address);
  if (!copy) return;
  const headers = unpacked(copy.headers);
  const text = await new Response(copy.body.pipeThrough(new DecompressionStream("gzip"))).text();
  const tags = [...COPY, ...scripts].map((src) => `<script src="${src}" defer></script>`);
  const marked = await mark(text, { "as-of": headers.get("Scumble-Kept"), ...data });
  return new Response(marked.replace("</head>", () => tags.join("") + "</head>"), { headers });
};
// unpacked gives headers for a text that is neither packed nor as long as it came.
const unpacked = (from) => {
  const headers = new Headers(from);
  for (const name of ["Content-Length", "Content-Encoding"]) headers.delete(name);
  return headers;
};
// mark puts data on a page for its scripts, with how many pieces are kept.
const mark = async (text, data) => {
  const says = Object.entries({ "pieces-kept": await onTablet(), ...data });
  const marks = says.map(([name, value]) => ` data-${name}="${value.replaceAll("&", "&amp;").replaceAll('"', "&quot;")}"`);
  return text.replace('<body class="bench"', (body) => body + marks.join(""));
};

// --- what is found without network -------------------------------------------------------
// found leads to the kept page of the piece or place whose label was read or typed, else it
// draws the pages whose words hold all that was typed, in any case and without accents. What
// looks like a code is cleaned as the server does (labels.ReadScan).
const found = async (url) => {
  const typed = url.searchParams.get("code");
  const code = (/[?&]code=([^&]*)/.exec(typed)?.[1] ?? typed).replace(/[\s\p{Pd}\u00ad]/gu, "").toUpperCase();
  const pages = Object.entries((await recallHeld()).pages);
  const labelled = pages.find(([, page]) => page.code === code);
  if (labelled) return Response.redirect(labelled[0], 303);
  const words = plain(typed).split(/\s+/).filter(Boolean);
  const hits = pages.filter(([, { about }]) => about && words.every((word) => plain(about).includes(word))).map(([path, { about }]) => ({ path, about }));
  const drawn = hits.length && words.length && !url.searchParams.has("scanned") && (await copyOf(FIND, [FOUND], { found: JSON.stringify(hits) }));
  return drawn || Response.redirect(AWAY + "?code=" + encodeURIComponent(typed), 303);
};
const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
const away = async () => {
  const page = await caches.match(AWAY);
  if (!page) return Response.error();
  const marked = await mark(await page.text(), { "fresh-at": (await recall("refreshed")) || "" });
  return new Response(marked, { headers: unpacked(page.headers) });
};

const page = async (event, url) => {
  const life = wiped;
  const from = fetch(event.request).then(async (answer) => {
    if (answer.status >= 500) throw answer;
    if (answer.type === "opaqueredirect") return answer;
    if (turnedAway(answer) || DOORS.includes(url.pathname)) await wipe();
    else if (wiped === life) event.waitUntil(keep(url.pathname + url.search, answer.clone())); // else somebody has signed out meanwhile
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
const QUIET = { headers: { "Scumble-Keep": "1" } };
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
const since = (begun) => performance.now() - begun;

// bring fetches a page and those below it, and gives what is then known of it; undefined
// where that is no use: the server is in trouble or turns the tablet away, or somebody has
// signed out meanwhile. After each answer it rests as long as that took: who works at this
// tablet, and those at others, must not notice.
const bring = async ({ path, acts = [], tag }) => {
  const life = wiped;
  const page = { tag, bytes: 0 };
  const whole = isPiece(path); // all its pages come in one answer
  for (const part of whole ? [acts] : [[], ...acts.map((act) => [act])]) {
    const begun = performance.now();
    const fresh = await fetch(whole ? together(path, acts) : path + part.join(""), { ...QUIET, redirect: "manual" });
    if (turnedAway(fresh)) await wipe();
    if (wiped !== life || fresh.status >= 500) return;
    const answers = whole ? await apart(fresh, path, acts) : [[path + part.join(""), fresh]];
    for (const [address, answer] of answers) {
      const bytes = await keep(address, answer);
      if (!bytes) await (await caches.open(PAGES)).delete(address); // it leads elsewhere just now
      page.bytes += bytes;
    }
    page.code ??= fresh.headers.get("Scumble-Code") ?? undefined;
    page.about ??= decodeURIComponent(fresh.headers.get("Scumble-About") || "") || undefined;
    await pause(since(begun));
  }
  return page;
};
// together is the address of all pages of a piece at once; apart takes the answer to pieces.
const together = (path, acts) => path.replace("/bench", "/bench/keep") + "?" + new URLSearchParams(acts.map((act) => ["act", act]));
const apart = async (fresh, path, acts) => {
  const pages = fresh.ok ? await fresh.json() : {};
  const headers = new Headers(fresh.headers);
  headers.set("Content-Type", "text/html; charset=utf-8");
  return ["", ...acts].map((act) => [path + act, act in pages ? new Response(pages[act], { headers }) : Response.error()]);
};

// room is how many bytes pages may take that take so many now.
const room = async (bytes) => {
  const { quota = 0, usage = 0 } = (await navigator.storage?.estimate?.()) || {};
  return Math.max(LEAST, Math.min(MOST, bytes + quota - usage - FREE));
};
const bytesOf = (pages) => Object.values(pages).reduce((sum, page) => sum + page.bytes, 0);

// fill brings what is not kept as the list says, in its order and a few at a time, until a
// round is over or the room is full. What is known is written down every so many, so that a
// worker that is stopped goes on from there. It tells whether a round is needed yet.
const ABREAST = 3;
const OFTEN = 12;
const fill = async (list) => {
  const begun = performance.now();
  const life = wiped;
  const { pages: before } = await recallHeld();
  const most = await room(bytesOf(before));
  const write = async (pages) => wiped === life && note("held", JSON.stringify({ pieces: list.pieces, pages }));
  const asBefore = ({ path, tag }) => before[path]?.tag === tag && before[path];
  const pages = {};
  let bytes = 0;
  let fresh = 0; // fetched and not written down yet
  for (let at = 0, wave; at < list.pages.length; at += wave.length) {
    wave = fitting(list.pages.slice(at, at + ABREAST), before, most - bytes);
    if (!wave.length) break;
    const late = since(begun) >= ROUND;
    const got = await Promise.all(wave.map((wanted) => asBefore(wanted) || (late ? undefined : bring(wanted).catch(() => {}))));
    got.forEach((page, i) => {
      if (!page) return;
      bytes += page.bytes;
      if (page !== before[wave[i].path]) fresh++;
      if (page.bytes) pages[wave[i].path] = page;
    });
    if (got.includes(undefined)) {
      await write({ ...before, ...pages });
      return late && wiped === life;
    }
    if (fresh >= OFTEN) {
      await write({ ...before, ...pages });
      fresh = 0;
    }
  }
  if (wiped !== life) return false;
  await drop(list.pages.filter((p) => pages[p.path]));
  await write(pages);
  await note("refreshed", new Date().toISOString());
  return false;
};
// fitting gives those of the pages, from the first on, for which there is room.
const fitting = (wanted, before, room) => {
  const over = wanted.findIndex(({ path }) => (room -= before[path]?.bytes ?? PIECE) < 0);
  return over < 0 ? wanted : wanted.slice(0, over);
};
// drop deletes all pages but these.
const drop = async (wanted) => {
  const stay = new Set(wanted.flatMap(({ path, acts = [] }) => ["", ...acts].map((act) => path + act)));
  const pages = await caches.open(PAGES);
  for (const request of await pages.keys()) {
    const url = new URL(request.url);
    if (!stay.has(url.pathname + url.search)) await pages.delete(request);
  }
};

// refresh asks the server what to keep and fetches it, one round of it, and tells whether
// more is to come.
const refresh = async () => {
  if (Date.now() - Date.parse(await recall("refreshed")) < REST) return false;
  try {
    const answer = await fetch("/bench/keep", QUIET);
    if (turnedAway(answer)) await wipe();
    if (!answer.ok || answer.redirected) return false;
    const list = await answer.json();
    if ((await recall("person")) !== list.person) {
      await wipe();
      await note("person", list.person);
    }
    return await fill(list);
  } catch {
    return false; // no network: what is kept stays
  }
};
// A page that asks while a round is on hears of its end: the one that began it may be left
// by then.
let round = null;
addEventListener("message", (event) => {
  if (event.data !== "keep") return;
  round ||= refresh().finally(() => (round = null));
  event.waitUntil(round.then(async (more) => event.source?.postMessage({ kept: await onTablet(), more })));
});

// --- versions ----------------------------------------------------------------------------
addEventListener("install", (event) => event.waitUntil(caches.open(FILES).then((c) => c.addAll([...SHELL, AWAY]))));
addEventListener("activate", (event) =>
  event.waitUntil(
    caches.keys().then((names) => Promise.all(names.filter((n) => n.startsWith("scumble-shell-") && n !== FILES).map((n) => caches.delete(n))))
  )
);
