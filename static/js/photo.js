// Photos from the bench: each is shrunk on the tablet and sent to /bench/photos under an
// id of its own, again and again until it is answered. What is not sent yet is kept on
// the tablet in IndexedDB, with the person who took it, and sent from whatever page is
// open. Without this script the form posts in the ordinary way.
//
//   <form data-photos data-now="…">   fields piece, stage, note; files in inputs "photo"
//     <ul data-photo-queue hidden>     a line for each photo on its way
"use strict";
(() => {
  const LARGE = 2048; // px, the longer side; the server keeps no more
  const QUALITY = 0.85;
  const MOST = 20 * 1024 * 1024; // bytes that the server takes
  const person = document.body.dataset.person || "";
  const form = document.querySelector("form[data-photos]");
  const own = new URL(document.currentScript.src);
  if (!person || !window.indexedDB) return;

  // --- what is not sent yet: {id, person, fields, file, refused} ---------------------
  const opened = new Promise((done, failed) => {
    const ask = indexedDB.open("scumble-photos", 1);
    ask.onupgradeneeded = () => ask.result.createObjectStore("unsent", { keyPath: "id" });
    ask.onsuccess = () => done(ask.result);
    ask.onerror = () => failed(ask.error);
  });
  const within = async (mode, act) => {
    const unsent = (await opened).transaction("unsent", mode).objectStore("unsent");
    return new Promise((done, failed) => {
      const ask = act(unsent);
      ask.onsuccess = () => done(ask.result);
      ask.onerror = () => failed(ask.error);
    });
  };
  const keep = (photo) => within("readwrite", (s) => s.put(photo));
  const drop = (id) => within("readwrite", (s) => s.delete(id));
  const all = () => within("readonly", (s) => s.getAll());

  // --- what is seen of it ----------------------------------------------------------------
  const count = async () => {
    const n = (await all()).filter((p) => !p.refused).length;
    // bench.js loads this script on every page as long as photos wait.
    try {
      if (n) localStorage.setItem("scumble.photos", own.pathname + own.search);
      else localStorage.removeItem("scumble.photos");
    } catch {
      // no room: they are sent from this page
    }
    const saved = document.querySelector("[data-saved]");
    let box = document.querySelector("[data-photos-saved]");
    if (!box && n && saved) {
      box = document.createElement("p");
      box.className = "saved some";
      box.dataset.photosSaved = "";
      box.setAttribute("role", "status");
      saved.after(box);
    }
    if (!box) return;
    box.hidden = !n;
    box.textContent = n + (n === 1 ? " photo" : " photos") + " waiting to be sent";
  };
  const lines = new Map();
  const show = (photo, words, kind) => {
    const list = document.querySelector("[data-photo-queue]");
    if (!list || photo.fields.piece !== form?.elements.piece.value) return;
    list.hidden = false;
    let line = lines.get(photo.id);
    if (!line) {
      line = document.createElement("li");
      const img = document.createElement("img");
      img.alt = "";
      img.src = URL.createObjectURL(photo.file);
      const says = document.createElement("span");
      says.setAttribute("role", "status");
      line.append(img, says);
      list.append(line);
      lines.set(photo.id, line);
    }
    line.className = kind;
    line.querySelector("span").textContent = words;
    if (kind === "wrong" && !line.querySelector("button")) {
      const off = document.createElement("button");
      off.type = "button";
      off.className = "button";
      off.textContent = "Drop it";
      off.addEventListener("click", async () => {
        await drop(photo.id);
        lines.delete(photo.id);
        line.remove();
        count();
      });
      line.append(off);
    }
  };

  // --- sending ---------------------------------------------------------------------------
  const post = async (photo) => {
    const body = new FormData();
    body.set("id", photo.id);
    for (const [name, value] of Object.entries(photo.fields)) body.set(name, value);
    body.set("photo", photo.file, "photo");
    try {
      const answer = await fetch("/bench/photos", { method: "POST", headers: { Accept: "application/json" }, body });
      return { status: answer.status, says: await answer.json() };
    } catch {
      return { status: 0, says: null };
    }
  };
  // send tells whether it is worth going on with the next one.
  const send = async (photo) => {
    show(photo, "sending …", "");
    const { status, says } = await post(photo);
    if (status === 200) {
      await drop(photo.id);
      const out = says[0];
      if (out.outcome === "refused") show(photo, "Refused: " + out.reason + " The owner sees it.", "wrong");
      else show(photo, "sent", "sent");
      return true;
    }
    if (status === 401 || status === 0 || status >= 500) {
      show(photo, status === 401 ? "Kept until you sign in" : "Not sent yet. Kept on this tablet", "");
      return false;
    }
    // It will never be taken: it stays to be seen until somebody drops it.
    photo.refused = says.detail || "The server can't read it.";
    await keep(photo);
    show(photo, "Refused: " + photo.refused, "wrong");
    return true;
  };
  let sending = false;
  const flush = async () => {
    if (sending) return;
    sending = true;
    try {
      for (;;) {
        const next = (await all()).find((p) => p.person === person && !p.refused);
        if (!next || !(await send(next))) break;
        await count();
      }
    } finally {
      sending = false;
      await count();
    }
  };
  addEventListener("online", flush);
  setInterval(flush, 5000);

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

  const drawn = Date.now();
  const take = async (files) => {
    for (const file of files) {
      // The tablet's clock may be wrong: only how much it moves on counts.
      const at = new Date((Date.parse(form.dataset.now) || drawn) + Date.now() - drawn).toISOString();
      const fields = { piece: form.elements.piece.value, stage: form.elements.stage.value, note: form.elements.note.value.trim(), at };
      const photo = { id: scumble.uuid7(), person, fields, file };
      show(photo, "sending …", "");
      photo.file = await shrink(file);
      if (photo.file.size > MOST) photo.refused = "This file has more than 20 MB. Take it again at a smaller size.";
      await keep(photo); // first: the tablet may die in between
      await count();
      if (photo.refused) show(photo, "Refused: " + photo.refused, "wrong");
    }
    form.elements.note.value = "";
    flush();
  };

  // Where nothing can be kept, the form stays an ordinary one.
  opened.then(async () => {
    if (form) {
      form.classList.add("live");
      form.addEventListener("submit", (e) => e.preventDefault()); // Enter in the note
      for (const input of form.querySelectorAll("input[type=file]")) {
        input.addEventListener("change", () => {
          const files = [...input.files];
          input.value = "";
          take(files);
        });
      }
      for (const photo of await all()) {
        if (photo.person === person) show(photo, photo.refused ? "Refused: " + photo.refused : "waiting", photo.refused ? "wrong" : "");
      }
    }
    flush();
  }, () => {});
})();
