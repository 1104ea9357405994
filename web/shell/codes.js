// Picture codes: opens the camera and reads codes with what the browser has for
// it, or else with a program of ours in a worker; and keeps the screen on while a
// code is shown. It is fetched when one of these is first asked for.
"use strict";

const SIDE = 720; // pixels of the square that is read
const PATIENCE = 1000; // milliseconds that the camera may be off the page

/**
 * Reads codes until the element "camera" leaves the page. tell hears "opened",
 * "code" with its text, and "trouble" with why it ended: "refused", "none",
 * "busy", "barred", "reader" or "stopped".
 */
export async function scan(tell) {
  const session = { ended: false };
  current?.end();
  current = session;
  let stream;
  let reader;
  session.end = (why) => {
    if (session.ended) {
      return;
    }
    session.ended = true;
    stream?.getTracks().forEach((track) => track.stop());
    reader?.close();
    document.removeEventListener("visibilitychange", away);
    if (why) {
      tell("trouble", why);
    }
  };
  // The camera is not left on behind another app; many phones stop it anyway.
  const away = () => document.hidden && session.end("stopped");
  const coming = openReader(); // while the person is asked for the camera
  coming.then(
    (came) => session.ended && came.close(),
    () => {}, // said below
  );
  try {
    stream = await openCamera();
  } catch (error) {
    session.end(reason(error));
    return;
  }
  if (session.ended) {
    stream.getTracks().forEach((track) => track.stop());
    return;
  }
  document.addEventListener("visibilitychange", away);
  stream.getVideoTracks()[0].addEventListener("ended", () => session.end("stopped"));
  try {
    reader = await coming;
  } catch (error) {
    console.info("Codes cannot be read:", String(error));
    session.end("reader");
    return;
  }
  if (session.ended) {
    return;
  }
  tell("opened", "");
  awake();
  await read(session, stream, reader, tell);
}

let current; // the scan that is under way

async function openCamera() {
  if (!navigator.mediaDevices?.getUserMedia) {
    throw Object.assign(new Error("no camera"), { name: window.isSecureContext ? "NotFoundError" : "InsecureError" });
  }
  const video = { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } };
  return navigator.mediaDevices.getUserMedia({ video, audio: false });
}

function reason(error) {
  switch (error.name) {
    case "NotAllowedError":
    case "SecurityError":
      return "refused";
    case "NotFoundError":
    case "OverconstrainedError":
      return "none";
    case "InsecureError":
      return "barred";
  }
  return "busy";
}

/** Reads picture after picture; one is finished before the next is begun. */
async function read(session, stream, reader, tell) {
  let seen = performance.now();
  let last = "";
  while (!session.ended) {
    await nextFrame();
    const video = document.getElementById("camera");
    if (!video) {
      if (performance.now() - seen > PATIENCE) {
        session.end();
      }
      continue;
    }
    seen = performance.now();
    if (video.srcObject !== stream) {
      video.muted = true;
      video.srcObject = stream;
      video.play().catch(() => {}); // it is tried again with the next element
    }
    if (video.readyState < HTMLMediaElement.HAVE_CURRENT_DATA) {
      continue;
    }
    let text = "";
    try {
      text = await reader.read(video);
    } catch (error) {
      console.info("A picture was not read:", String(error));
      session.end("reader");
    }
    if (text && text !== last && !session.ended) {
      last = text;
      tell("code", text);
    }
  }
}

function nextFrame() {
  return new Promise((resolve) => requestAnimationFrame(resolve));
}

async function openReader() {
  if ("BarcodeDetector" in window) {
    try {
      if ((await BarcodeDetector.getSupportedFormats()).includes("qr_code")) {
        return ownReader(new BarcodeDetector({ formats: ["qr_code"] }));
      }
    } catch {
      // It is there by name only.
    }
  }
  return workerReader();
}

// The browser's own. It gives text, which our codes are.
function ownReader(detector) {
  return {
    read: async (video) => (await detector.detect(square(video).canvas))[0]?.rawValue ?? "",
    close() {},
  };
}

async function workerReader() {
  const worker = new Worker("reader.js");
  const answer = (message, transfer) =>
    new Promise((resolve, reject) => {
      worker.onmessage = ({ data }) => (data.failed ? reject(new Error(data.failed)) : resolve(data.text));
      worker.onerror = () => reject(new Error("the worker did not start"));
      worker.postMessage(message, transfer);
    });
  try {
    await answer({});
  } catch (error) {
    worker.terminate();
    throw error;
  }
  return {
    read(video) {
      const { data, width, height } = square(video).getImageData(0, 0, SIDE, SIDE);
      return answer({ pixels: data.buffer, width, height }, [data.buffer]);
    },
    close: () => worker.terminate(),
  };
}

// The middle of the picture, which is what the page shows of it.
const canvas = Object.assign(document.createElement("canvas"), { width: SIDE, height: SIDE });
const pen = canvas.getContext("2d", { willReadFrequently: true, alpha: false });

function square(video) {
  const side = Math.min(video.videoWidth, video.videoHeight);
  pen.drawImage(video, (video.videoWidth - side) / 2, (video.videoHeight - side) / 2, side, side, 0, 0, SIDE, SIDE);
  return pen;
}

/** Keeps the screen on while there is a code or a camera on the page. */
export async function awake() {
  if (waking || !("wakeLock" in navigator)) {
    return;
  }
  waking = true;
  let lock;
  const pause = (time) => new Promise((resolve) => setTimeout(resolve, time));
  await pause(PATIENCE / 2); // the page is being drawn
  try {
    while (document.querySelector("#code, #camera")) {
      if ((!lock || lock.released) && !document.hidden) {
        lock = await navigator.wakeLock.request("screen");
      }
      await pause(PATIENCE);
    }
  } catch {
    // A phone that saves its battery may refuse.
  }
  lock?.release();
  waking = false;
}

let waking = false;
