// The page of a piece's photos: each is shrunk on the tablet and put into the outbox, whose
// way it goes from there. Without this script the form posts in the ordinary way.
//
//   <form data-photos>              fields piece, stage, note; files in inputs "photo"
//     <ul data-photo-queue hidden>  a line for each photo on its way
"use strict";
(() => {
  const LARGE = 2048; // px, the longer side; the server keeps no more
  const QUALITY = 0.85;
  const MOST = 20 << 20; // bytes that the server takes
  const ROOM = 2 * MOST; // bytes that must be free before another is taken
  const SHOWN = 50;
  const FULL = "No room for another photo on this tablet. Let it send what waits, or make room.";
  const { uuid7 } = scumble;
  const form = document.querySelector("form[data-photos]");
  if (!form || !document.body.dataset.person) return;
  const { piece, stage, note } = form.elements;
  const inputs = form.querySelectorAll("input[type=file]");

  let outbox = null; // until it has come

  // --- what is seen ------------------------------------------------------------------
  const lines = new Map(); // by entry
  const say = (id, words, kind) => {
    const line = lines.get(id);
    line.className = kind;
    line.querySelector("span").textContent = words;
  };
  const show = (id, picture) => {
    const list = document.querySelector("[data-photo-queue]");
    list.hidden = false;
    document.querySelector("main > .empty")?.remove(); // "No photo yet"
    const line = document.createElement("li");
    const img = Object.assign(document.createElement("img"), { alt: "", src: URL.createObjectURL(picture) });
    const says = document.createElement("span");
    says.setAttribute("role", "status");
    line.append(img, says);
    list.append(line);
    lines.set(id, line);
  };
  const waits = () => {
    const status = outbox.status();
    if (status === 401 || status === 403) return "Kept until you sign in";
    return status === 0 || status >= 500 ? "Not sent yet. Kept on this tablet" : "sending …";
  };

  // room says that the tablet is full before the camera opens, not after.
  const box = form.querySelector(".field");
  const error = box.querySelector(".error");
  const fault = error.textContent; // the server's
  const room = async () => {
    const { quota, usage } = (await navigator.storage?.estimate?.().catch(() => null)) || {};
    const full = quota - usage < ROOM;
    for (const input of inputs) input.disabled = full;
    box.classList.toggle("field-wrong", full || fault !== "");
    error.textContent = full ? FULL : fault;
  };

  const kept = new Set(); // entries of the outbox that have a line
  const update = async () => {
    for (const id of kept) {
      const r = await outbox.find(id);
      if (!r) say(id, "sent", "sent");
      else if (r.state === "refused") say(id, "Not taken: " + r.reason, "wrong");
      else say(id, waits(), "");
    }
    await room();
  };

  // --- what is taken ------------------------------------------------------------------
  // shrink gives a JPEG of at most LARGE pixels a side, upright; what the browser can't
  // read goes as it is, and the server says what to do.
  const shrink = async (file) => {
    let bitmap;
    try {
      bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
    } catch {
      return file;
    }
    const by = Math.min(1, LARGE / Math.max(bitmap.width, bitmap.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(bitmap.width * by));
    canvas.height = Math.max(1, Math.round(bitmap.height * by));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "#fff"; // under what is see-through
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    bitmap.close();
    return (await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY))) || file;
  };

  // keep puts the photo into the outbox; where there is no room it is sent at once.
  const keep = async (record) => {
    const { id } = record.event;
    try {
      await outbox.add([record]);
      outbox.persist();
      kept.add(id);
    } catch {
      const [out] = (await outbox.straight([record])) || [{ outcome: "lost", reason: "this tablet has no room, and the server can’t be reached. Make room, then take it again." }];
      if (out.reason) say(id, "Not taken: " + out.reason, "wrong");
      else say(id, "sent", "sent");
    }
  };
  const take = async (files) => {
    const said = note.value.trim();
    note.value = "";
    for (const file of files) {
      // The tablet's clock may be wrong: the server puts it right by the hour of sending.
      const at = new Date().toISOString();
      const event = { id: uuid7(), kind: "photo", piece: piece.value, at, clock: at };
      if (stage.value) event.stage = stage.value;
      if (said) event.note = said;
      const picture = await shrink(file);
      show(event.id, picture);
      if (picture.size > MOST) say(event.id, "Not kept: it has more than 20 MB. Take it again at a smaller size.", "wrong");
      else await keep({ ...scumble.signed(), event, picture });
    }
    outbox.wake();
    await update();
  };

  const begin = async () => {
    outbox = await scumble.outboxed();
    for (const state of ["waiting", "refused"]) {
      for (const r of await outbox.ofPiece(state, piece.value, SHOWN)) {
        const picture = r.event.kind === "photo" && (await outbox.picture(r.id));
        if (!picture) continue;
        show(r.id, picture);
        kept.add(r.id);
      }
    }
    await update();
    form.addEventListener("submit", (e) => e.preventDefault()); // Enter in the note
    for (const input of inputs) {
      input.addEventListener("change", () => {
        const files = [...input.files];
        input.value = "";
        take(files);
      });
    }
    document.addEventListener("scumble:outbox", update);
    form.classList.add("live");
  };
  begin().catch(() => {}); // where nothing can be kept, the form stays an ordinary one
})();
