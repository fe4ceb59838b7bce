// Reads a label's code with the tablet's camera: by the browser's own detector where it
// has one, else by the vendored jsQR, which is fetched only then. What was read goes to
// data-scan as ?scanned=1&code=…, whatever it is: the server says what it was. The pad writes the
// code by hand, and keeps the tablet's own keyboard away.
"use strict";
(() => {
  const box = document.querySelector("[data-scan]");
  if (!box) return;
  const view = box.querySelector("[data-view]");
  const cam = box.querySelector("[data-cam]");
  const again = box.querySelector("[data-again]");
  const says = document.querySelector("[data-scan-says]");
  const field = box.querySelector("[name=code]");
  const EVERY = 150; // ms between two looks: a small tablet has other work as well
  const WIDEST = 800; // px that are looked at: a label fills a third of the picture
  const LONGEST = 500; // signs of a foreign text that are handed on

  for (const pad of box.querySelectorAll("[data-signs]")) pad.hidden = false;
  field.inputMode = "none";
  field.maxLength = 60;
  box.addEventListener("click", (e) => {
    const key = e.target.closest("[data-sign]");
    if (!key) return;
    field.value = key.dataset.sign === "back" ? field.value.slice(0, -1) : field.value + key.dataset.sign;
  });

  const TROUBLES = {
    NotAllowedError: "The camera is refused. Allow it for this page in the browser, or type the code.",
    NotFoundError: "No camera found. Type the code.",
    NotReadableError: "Another program holds the camera. Close it, or type the code.",
  };
  const trouble = (name) => {
    says.textContent = TROUBLES[name] || "The camera can't be used. Type the code.";
    view.hidden = true;
    again.hidden = false;
    cam.hidden = name === "NotFoundError";
  };

  const load = (address) =>
    new Promise((done, failed) => {
      const script = document.createElement("script");
      script.src = address;
      script.onload = done;
      script.onerror = failed;
      document.head.append(script);
    });

  // own is the browser's detector; null where it has none that reads square codes.
  const own = async () => {
    try {
      if ((await BarcodeDetector.getSupportedFormats()).includes("qr_code")) return new BarcodeDetector({ formats: ["qr_code"] });
    } catch {
      // it is not there, or there in name only
    }
    return null;
  };
  const vendored = async () => {
    if (!window.jsQR) await load(box.dataset.decoder);
    const canvas = document.createElement("canvas");
    const paper = canvas.getContext("2d", { willReadFrequently: true });
    return () => {
      const scale = Math.min(1, WIDEST / view.videoWidth);
      canvas.width = Math.round(view.videoWidth * scale);
      canvas.height = Math.round(view.videoHeight * scale);
      paper.drawImage(view, 0, 0, canvas.width, canvas.height);
      const { data, width, height } = paper.getImageData(0, 0, canvas.width, canvas.height);
      return window.jsQR(data, width, height, { inversionAttempts: "dontInvert" })?.data || "";
    };
  };
  // reader gives a function that looks at the picture once: the text, or "". A detector
  // that fails at a picture is not asked again.
  const reader = async () => {
    const detector = await own();
    let decode = detector ? null : await vendored();
    return async () => {
      if (decode) return decode();
      try {
        return (await detector.detect(view))[0]?.rawValue || "";
      } catch {
        decode = await vendored();
        return "";
      }
    };
  };

  let stream = null;
  let run = 0; // looks of an earlier run end by themselves
  const stop = () => {
    run++;
    for (const track of stream?.getTracks() || []) track.stop();
    stream = null;
  };

  const watch = async (look, mine) => {
    if (mine !== run) return;
    let text = "";
    try {
      if (view.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA && view.videoWidth) text = await look();
    } catch {
      // one picture that can't be read: the next one may
    }
    if (mine !== run) return;
    if (!text) return setTimeout(watch, EVERY, look, mine);
    stop();
    says.textContent = "Read. One moment …";
    location.assign(box.dataset.scan + "?scanned=1&code=" + encodeURIComponent(text.slice(0, LONGEST)));
  };

  const start = async () => {
    stop();
    const mine = run;
    if (!navigator.mediaDevices?.getUserMedia) {
      says.textContent = window.isSecureContext ? TROUBLES.NotFoundError : "The camera needs an https address. Type the code.";
      return;
    }
    try {
      const opened = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } }, audio: false });
      if (mine !== run) return opened.getTracks().forEach((t) => t.stop());
      stream = opened;
      cam.hidden = view.hidden = false;
      again.hidden = true;
      view.srcObject = stream;
      await view.play();
      const look = await reader();
      says.textContent = "Hold the label before the camera.";
      watch(look, mine);
    } catch (e) {
      if (mine !== run) return;
      stop();
      trouble(e.name);
    }
  };

  again.addEventListener("click", start);
  // A tablet that sleeps lets go of its camera.
  document.addEventListener("visibilitychange", () => (document.hidden ? stop() : start()));
  addEventListener("pagehide", stop);
  addEventListener("pageshow", (e) => e.persisted && start());
  if (!document.hidden) start();
})();
