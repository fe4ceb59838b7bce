// The outbox: every entry made on the tablet stands here, in IndexedDB, before it is sent,
// and until the server has answered it. It outlives reloads, restarts and the person who
// made it: each is sent under its own person's pass, in the order in which they were made.
// Photos are entries too: each goes by itself, after what is small, and gives way to it.
// Sending the same id again changes nothing, so that whatever is in doubt is sent again.
//
//   scumble.outbox.add(list, replaces)  keeps records; throws where there is no room
//   scumble.outbox.deliver(ids)         sends, and gives the answers; null: not yet
//   scumble.outbox.wake()               sends what waits, at once
//   scumble.outbox.straight(list)       sends what could not be kept
//   "scumble:outbox" on document        something in it has changed
//
// A record is {v, seq, state, id, person, name, piece, event, made, page, fields, title,
// says}; state is "waiting", or "refused" with the answer's reason. v is the form of the
// record: a newer script reads the older ones. A photo's picture is given with its record
// and kept beside it.
"use strict";
(() => {
  const FORM = 1;
  const OLD = "scumble.unsent"; // where earlier versions kept a list
  const BATCH = 200;
  const LONGEST = 60000; // between two tries, ms
  const OLD_PHOTOS = "scumble-photos"; // and photos, a database of their own
  const HANGING = 20000; // a request without an answer, ms
  const UPLOAD = 120000; // the same of a photo
  const PATIENCE = 8000; // of somebody who has just saved, ms
  const person = document.body.dataset.person || "";

  // --- the store --------------------------------------------------------------
  // A page that is put aside for "back" while it makes or changes the store would hold up
  // every other one, for ever. Browsers don't put aside a page that has a lock or that wants
  // to hear of its end.
  addEventListener("unload", () => {});
  navigator.locks?.request("scumble-page", { mode: "shared" }, () => new Promise(() => {})).catch(() => {});
  const opened = idb.openDB("scumble", 2, {
    upgrade(db, from) {
      if (from < 1) {
        const entries = db.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
        entries.createIndex("id", "id", { unique: true });
        entries.createIndex("turn", ["state", "seq"]);
        entries.createIndex("piece", ["state", "piece"]);
        entries.createIndex("person", ["state", "person"]);
        db.createObjectStore("passes"); // by person
      }
      if (from < 2) db.createObjectStore("pictures"); // by the id of their entry
    },
    blocking: (from, to, e) => e.target.close(), // a newer script wants to change it
  });
  opened.catch(() => {}); // each use says so
  const all = (...key) => IDBKeyRange.bound([...key], [...key, []]); // every key that begins so
  const one = (...key) => IDBKeyRange.only(key);

  // change runs what on the stores in one transaction that is on the disk when it is done.
  const change = async (what) => {
    const tx = (await opened).transaction(["entries", "pictures", "passes"], "readwrite", { durability: "strict" });
    tx.done.catch(() => {}); // the await below hears of it
    try {
      await what(tx.objectStore("entries"), tx.objectStore("pictures"), tx.objectStore("passes"));
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
  const drop = async (entries, pictures, id) => {
    const key = await entries.index("id").getKey(id);
    if (key !== undefined) await entries.delete(key);
    await pictures.delete(id);
  };
  // An entry is never kept without the pass that it is sent under: whoever signs in next may
  // come before this page has kept it.
  const keepPass = (passes) => person && document.body.dataset.pass && passes.put(document.body.dataset.pass, person);
  const add = async (list, replaces = []) => {
    await change(async (entries, pictures, passes) => {
      await keepPass(passes);
      for (const { picture, ...r } of list) {
        const { id, piece } = r.event;
        if ((await entries.index("id").getKey(id)) !== undefined) continue; // a double touch
        const record = { ...r, v: FORM, state: "waiting", id, piece };
        await (r.seq ? entries.put(record) : entries.add(record)); // with a seq it takes another's place
        if (picture) await pictures.put(picture, id);
      }
      for (const id of replaces) await drop(entries, pictures, id);
    });
    changed();
  };
  const remove = async (id) => {
    await change((entries, pictures) => drop(entries, pictures, id));
    changed();
  };
  const picture = async (id) => (await opened).get("pictures", id);
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

  // takeOverPhotos does the same with photos. Their old database stays, empty: a page that
  // still has it open may put one more there.
  const takeOverPhotos = async () => {
    const known = await indexedDB.databases?.();
    if (known && !known.some((d) => d.name === OLD_PHOTOS)) return;
    const old = await idb.openDB(OLD_PHOTOS, 1, { upgrade: (db) => db.createObjectStore("unsent", { keyPath: "id" }) });
    for (const { id, person, fields, file, refused } of await old.getAll("unsent")) {
      const made = Date.parse(fields.at) || Date.now();
      await add([{ person, name: "", made, picture: file, event: { ...fields, id, kind: "photo" } }]);
      if (refused) await settle([await find(id)], [{ id, outcome: "refused", reason: refused }]);
      await old.delete("unsent", id);
    }
    old.close();
  };

  // keepPasses keeps the pass of who is signed in, and those of others while something of
  // theirs waits.
  const keepPasses = async () => {
    await change(async (entries, pictures, passes) => {
      await keepPass(passes);
      for (const other of await passes.getAllKeys()) {
        if (other !== person && !(await entries.index("person").count(one("waiting", other)))) await passes.delete(other);
      }
    });
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

  // What is no entry of the ledger's JSON goes by itself, as a form, to where it belongs.
  const ALONE = { photo: () => "/bench/photos", grade: (e) => "/bench/pieces/" + e.piece + "/grade" };
  const isAlone = (r) => r.event.kind in ALONE;
  const isPhoto = (r) => r.event.kind === "photo";
  const asForm = async (r) => {
    const { kind, ...fields } = r.event;
    const form = new FormData();
    for (const [name, value] of Object.entries(fields)) form.set(name, value);
    if (isPhoto(r)) form.set("photo", r.picture || (await picture(r.id)), "photo");
    return form;
  };
  const GIVES_WAY = "to an entry";
  let upload = null; // of the photo on its way
  const post = async (records, query, pass) => {
    const headers = pass ? { "Scumble-Pass": pass } : {};
    if (!isAlone(records[0])) return scumble.post("/bench/events" + query, records.map((r) => r.event), headers, AbortSignal.timeout(HANGING));
    const form = await asForm(records[0]);
    upload = new AbortController();
    const { signal } = upload;
    const late = setTimeout(() => upload?.abort(), UPLOAD);
    const got = await scumble.post(ALONE[records[0].event.kind](records[0].event) + query, form, headers, signal);
    clearTimeout(late);
    upload = null;
    return { ...got, again: signal.reason === GIVES_WAY };
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
    await change(async (entries, pictures) => {
      for (const r of records) {
        const o = by.get(r.id);
        if ((await entries.index("id").getKey(r.id)) === undefined) continue; // another page has settled it
        if (o?.outcome === "refused") await entries.put({ ...r, state: "refused", reason: o.reason, from: o.allowed_from, wants: o.wants });
        else if (o) await drop(entries, pictures, r.id);
      }
    });
    changed(outcomes);
  };

  // some gives what waits and fits, the oldest first, of the first batch that has any.
  const some = async (fits) => {
    for (let after = -1; ; ) {
      const range = IDBKeyRange.bound(["waiting", after], ["waiting", []], true);
      const batch = await (await opened).getAllFromIndex("entries", "turn", range, BATCH);
      const found = batch.filter(fits);
      if (found.length || batch.length < BATCH) return found;
      after = batch.at(-1).seq;
    }
  };
  // next gives what is to be sent now: the oldest entries in a row of one person who may
  // send; else a photo. What a page waits for goes by itself: the server then keeps its
  // answer for the page that comes next.
  const awaited = new Set();
  const next = async (stuck) => {
    const entries = await some((r) => !isPhoto(r) && !stuck.has(r.person));
    if (!entries.length) return (await some((r) => isPhoto(r) && !stuck.has(r.person))).slice(0, 1);
    if (isAlone(entries[0])) return [entries[0]];
    const alike = (r) => !isAlone(r) && r.person === entries[0].person && awaited.has(r.id) === awaited.has(entries[0].id);
    const end = entries.findIndex((r) => !alike(r));
    return end < 0 ? entries : entries.slice(0, end);
  };

  // lacksPicture tells of a photo that can never be sent: it must hold up no other.
  const lacksPicture = async (r) => isPhoto(r) && !(await (await opened).count("pictures", r.id));

  // sendAll sends until nothing is left ("done"), nobody answers ("away"), or what is left
  // is of people who may not send just now ("stuck").
  const FOR_GOOD = [400, 413, 422]; // it would be answered so for ever
  let status = 0; // of the last answer
  const sendAll = async () => {
    const stuck = new Set();
    let most = BATCH;
    for (;;) {
      const records = (await next(stuck)).slice(0, most);
      if (!records.length) return stuck.size ? "stuck" : "done";
      if (await lacksPicture(records[0])) {
        await settle(records, [{ id: records[0].id, outcome: "refused", reason: "The picture is no more on this tablet. Take the photo again." }]);
        continue;
      }
      const got = await submit(records, awaited.has(records[0].id) ? "?say=1" : "");
      status = got.status;
      if (got.outcomes) {
        await settle(records, got.outcomes);
      } else if (got.again) {
        continue;
      } else if (FOR_GOOD.includes(status)) {
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
    hear([]); // how it stands
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
      upload?.abort(GIVES_WAY);
      heard.addEventListener("answers", look);
      // Done without an answer here: another page has sent it, and is about to say so.
      wake().then((became) => became === "done" || end());
    });

  const straight = async (records) => (await post(records, "?say=1")).outcomes;

  // The browser is asked once not to clear the outbox when it needs room.
  const persist = () => {
    if (persist.asked) return;
    persist.asked = true;
    navigator.storage?.persist?.().catch(() => {});
  };

  (self.scumble ||= {}).outbox = { add, remove, find, picture, list, count, pieces, ofPiece, deliver, wake, straight, persist, status: () => status };
  addEventListener("online", wake);
  document.addEventListener("visibilitychange", () => document.hidden || wake());
  takeOver()
    .then(takeOverPhotos)
    .then(keepPasses)
    .catch(() => {}) // no outbox here: forms say so when they are sent
    .then(wake)
    .then(() => document.dispatchEvent(new CustomEvent("scumble:outbox")));
})();
