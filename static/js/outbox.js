// The outbox: every entry made on the tablet stands here, in IndexedDB, before it is sent,
// and until the server has answered it. It outlives reloads, restarts and the person who
// made it: each is sent under its own person's pass, in the order in which they were made.
// Sending the same id again changes nothing, so that whatever is in doubt is sent again.
//
//   scumble.outbox.add(list, replaces)  keeps records; throws where there is no room
//   scumble.outbox.deliver(ids)         sends, and gives the answers; null: not yet
//   scumble.outbox.wake()               sends what waits, at once
//   "scumble:outbox" on document        something in it has changed
//
// A record is {v, seq, state, id, person, name, piece, event, made, page, fields, title,
// says}; state is "waiting", or "refused" with the answer's reason. v is the form of the
// record: a newer script reads the older ones.
"use strict";
(() => {
  const FORM = 1;
  const OLD = "scumble.unsent"; // where earlier versions kept a list
  const BATCH = 200;
  const LONGEST = 60000; // between two tries, ms
  const HANGING = 20000; // a request without an answer, ms
  const PATIENCE = 8000; // of somebody who has just saved, ms
  const person = document.body.dataset.person || "";

  // uuid7 is RFC 9562 version 7: 48 bits of time, the rest random.
  const uuid7 = () => {
    const b = crypto.getRandomValues(new Uint8Array(16));
    let ms = Date.now();
    for (let i = 5; i >= 0; i--) {
      b[i] = ms % 256;
      ms = Math.floor(ms / 256);
    }
    b[6] = (b[6] & 0x0f) | 0x70;
    b[8] = (b[8] & 0x3f) | 0x80;
    const hex = [...b].map((v) => v.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  };

  // --- the store --------------------------------------------------------------
  // A page that is put aside for "back" while it makes or changes the store would hold up
  // every other one, for ever. Browsers don't put aside a page that has a lock or that wants
  // to hear of its end.
  addEventListener("unload", () => {});
  navigator.locks?.request("scumble-page", { mode: "shared" }, () => new Promise(() => {})).catch(() => {});
  const opened = idb.openDB("scumble", 1, {
    upgrade(db) {
      const entries = db.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
      entries.createIndex("id", "id", { unique: true });
      entries.createIndex("turn", ["state", "seq"]);
      entries.createIndex("piece", ["state", "piece"]);
      entries.createIndex("person", ["state", "person"]);
      db.createObjectStore("passes"); // by person
    },
    blocking: (from, to, e) => e.target.close(), // a newer script wants to change it
  });
  opened.catch(() => {}); // each use says so
  const all = (...key) => IDBKeyRange.bound([...key], [...key, []]); // every key that begins so
  const one = (...key) => IDBKeyRange.only(key);

  // change runs what on the entries in one transaction that is on the disk when it is done.
  const change = async (what) => {
    const tx = (await opened).transaction("entries", "readwrite", { durability: "strict" });
    tx.done.catch(() => {}); // the await below hears of it
    try {
      await what(tx.store);
    } catch (e) {
      try {
        tx.abort();
      } catch {
        // it has ended by itself
      }
      throw e;
    }
    await tx.done;
  };
  const drop = async (store, id) => {
    const key = await store.index("id").getKey(id);
    if (key !== undefined) await store.delete(key);
  };
  const add = async (list, replaces = []) => {
    await change(async (store) => {
      for (const r of list) {
        if ((await store.index("id").getKey(r.event.id)) !== undefined) continue; // a double touch
        await store.add({ ...r, v: FORM, state: "waiting", id: r.event.id, piece: r.event.piece });
      }
      for (const id of replaces) await drop(store, id);
    });
    changed();
  };
  const remove = async (id) => {
    await change((store) => drop(store, id));
    changed();
  };
  const find = async (id) => (await opened).getFromIndex("entries", "id", id);
  const list = async (state, limit) => (await opened).getAllFromIndex("entries", "turn", all(state), limit);
  const count = async (state) => (await opened).countFromIndex("entries", "turn", all(state));
  const ofPiece = async (state, piece, limit) => (await opened).getAllFromIndex("entries", "piece", one(state, piece), limit);
  const pieces = async (state) => {
    const found = [];
    const index = (await opened).transaction("entries").store.index("piece");
    for (let at = await index.openKeyCursor(all(state), "nextunique"); at; at = await at.continue()) found.push(at.key[1]);
    return found;
  };

  // takeOver moves what an earlier version kept into the outbox. An old page may still be
  // open and add to it meanwhile: what has changed is looked at once more.
  const takeOver = async () => {
    for (let text; (text = localStorage.getItem(OLD)); ) {
      let old = [];
      try {
        old = JSON.parse(text).filter((u) => u?.event?.id);
      } catch {
        // nothing that could be read
      }
      await add(old.map((u) => ({ person: u.person, name: "", event: u.event, made: Date.parse(u.event.at) || Date.now() })));
      if (localStorage.getItem(OLD) === text) localStorage.removeItem(OLD);
    }
  };

  // keepPasses keeps the pass of who is signed in, and those of others while something of
  // theirs waits.
  const keepPasses = async () => {
    const db = await opened;
    if (person && document.body.dataset.pass) await db.put("passes", document.body.dataset.pass, person);
    for (const other of await db.getAllKeys("passes")) {
      if (other !== person && !(await db.countFromIndex("entries", "person", one("waiting", other)))) await db.delete("passes", other);
    }
  };

  // --- sending ------------------------------------------------------------------
  const channel = "BroadcastChannel" in self ? new BroadcastChannel("scumble") : null;
  const answers = new Map(); // of what was sent while this page stands
  const heard = new EventTarget();
  const hear = (outcomes) => {
    for (const o of outcomes) answers.set(o.id, o);
    heard.dispatchEvent(new Event("answers"));
    document.dispatchEvent(new CustomEvent("scumble:outbox"));
  };
  channel?.addEventListener("message", (e) => hear(e.data));
  const changed = (outcomes = []) => {
    channel?.postMessage(outcomes);
    hear(outcomes);
  };

  const post = async (records, query, pass) => {
    const headers = { "Content-Type": "application/json", Accept: "application/json", "Scumble-Sent": new Date().toISOString() };
    if (pass) headers["Scumble-Pass"] = pass;
    try {
      const answer = await fetch("/bench/events" + query, {
        method: "POST",
        headers,
        body: JSON.stringify(records.map((r) => r.event)),
        signal: AbortSignal.timeout(HANGING),
      });
      const body = await answer.json().catch(() => null);
      return { status: answer.status, outcomes: answer.ok ? body : null, detail: body?.detail };
    } catch {
      return { status: 0, outcomes: null };
    }
  };
  // submit sends records of one person under their pass; without one, as who is signed in.
  const submit = async (records, query) => {
    const pass = await (await opened).get("passes", records[0].person);
    const own = records[0].person === person;
    if (!pass && !own) return { status: 401, outcomes: null };
    const got = await post(records, query, pass);
    return got.status === 401 && pass && own ? post(records, query) : got;
  };

  const settle = async (records, outcomes) => {
    const by = new Map(outcomes.map((o) => [o.id, o]));
    await change(async (store) => {
      for (const r of records) {
        const o = by.get(r.id);
        if (o?.outcome === "refused") await store.put({ ...r, state: "refused", reason: o.reason, from: o.allowed_from, wants: o.wants });
        else if (o) await store.delete(r.seq);
      }
    });
    changed(outcomes);
  };

  // next gives what is to be sent now: the oldest entries in a row of one person who may
  // send. What a page waits for goes by itself: the server then keeps its answer for the
  // page that comes next.
  const awaited = new Set();
  const next = async (stuck) => {
    for (let after = -1; ; ) {
      const range = IDBKeyRange.bound(["waiting", after], ["waiting", []], true);
      const some = await (await opened).getAllFromIndex("entries", "turn", range, BATCH);
      const free = some.filter((r) => !stuck.has(r.person));
      if (free.length) {
        const alike = (r) => r.person === free[0].person && awaited.has(r.id) === awaited.has(free[0].id);
        const end = free.findIndex((r) => !alike(r));
        return end < 0 ? free : free.slice(0, end);
      }
      if (some.length < BATCH) return [];
      after = some.at(-1).seq;
    }
  };

  // sendAll sends until nothing is left ("done"), nobody answers ("away"), or what is left
  // is of people who may not send just now ("stuck").
  let status = 0; // of the last answer
  const sendAll = async () => {
    const stuck = new Set();
    let most = BATCH;
    for (;;) {
      const records = (await next(stuck)).slice(0, most);
      if (!records.length) return stuck.size ? "stuck" : "done";
      const got = await submit(records, awaited.has(records[0].id) ? "?say=1" : "");
      status = got.status;
      if (got.outcomes) {
        await settle(records, got.outcomes);
      } else if (status === 400 || status === 413) {
        // One that the server can't read must hold up no other: they go one by one.
        if (records.length === 1) await settle(records, [{ id: records[0].id, outcome: "refused", reason: got.detail || "The server can’t read this entry." }]);
        most = 1;
      } else if (status === 401 || status === 403) {
        stuck.add(records[0].person);
      } else {
        return "away";
      }
    }
  };

  // Only one page of the tablet sends. Where the browser has no locks, which it keeps for
  // encrypted connections, two may send the same: the server takes it once.
  const alone = (what) => (navigator.locks ? navigator.locks.request("scumble-outbox", what) : what());

  let wait = 0;
  let timer = 0;
  let running = null;
  let more = false;
  const run = async () => {
    let became;
    do {
      more = false;
      became = await alone(sendAll).catch(() => "away");
    } while (more && became !== "away");
    clearTimeout(timer);
    wait = became === "stuck" ? LONGEST : Math.min(LONGEST, wait * 2 || 1000);
    if (became === "done") wait = 0;
    else timer = setTimeout(send, wait);
    running = null;
    return became;
  };
  const send = () => {
    more = true;
    return (running ||= run());
  };
  const wake = () => {
    wait = 0;
    return send();
  };
  const got = (ids) => (ids.every((id) => answers.has(id)) ? ids.map((id) => answers.get(id)) : null);
  const deliver = (ids) =>
    new Promise((resolve) => {
      const end = () => {
        heard.removeEventListener("answers", look);
        clearTimeout(late);
        for (const id of ids) awaited.delete(id);
        resolve(got(ids));
      };
      const look = () => got(ids) && end();
      const late = setTimeout(end, PATIENCE);
      for (const id of ids) awaited.add(id);
      heard.addEventListener("answers", look);
      // Done without an answer here: another page has sent it, and is about to say so.
      wake().then((became) => became === "done" || end());
    });

  // straight sends records that could not be kept.
  const straight = async (list) => (await post(list.map((event) => ({ event })), "?say=1")).outcomes;

  // The browser is asked once not to clear the outbox when it needs room.
  const persist = () => {
    if (persist.asked) return;
    persist.asked = true;
    navigator.storage?.persist?.().catch(() => {});
  };

  (self.scumble ||= {}).uuid7 = uuid7;
  scumble.outbox = { add, remove, find, list, count, pieces, ofPiece, deliver, wake, straight, persist, status: () => status };
  addEventListener("online", wake);
  document.addEventListener("visibilitychange", () => document.hidden || wake());
  takeOver()
    .then(keepPasses)
    .catch(() => {}) // no outbox here: forms say so when they are sent
    .then(wake)
    .then(() => document.dispatchEvent(new CustomEvent("scumble:outbox")));
})();
