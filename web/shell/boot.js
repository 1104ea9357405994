// Starts Keelcard: sets the colour scheme before anything is painted, compiles
// the program while the page still loads, runs it, and registers the service
// worker. Everything the program and the tests need of this script is in
// window.keelcard. If something fails, a calm message takes the place of the
// page: what happened, what is safe, what to do now.
"use strict";

(() => {
  const root = document.documentElement;
  const SCHEME = "keelcard.scheme";
  const MARK = "keelcard.kept";
  const REST = root.dataset.rest; // the second part of the program, "" when it is in one
  const SHARED = "keelcard-shared"; // as in sw.js
  const KEPT = "keelcard-app-" + root.dataset.version; // as in sw.js

  const keelcard = {
    version: root.dataset.version,
    ready: false, // the first page is on the screen
    started: 0, // milliseconds from navigation to the first page
    saved: 0, // saves that reached the disk since the start
    pending: 0, // saves asked for and not yet on the disk
    update: false, // a new version waits
    trouble: "", // the message on the screen, if something failed
    rest: REST ? "away" : "here", // where the second part of the program is
    scheme,
    mark,
    marked,
    failed,
    loadRest,
    onRest,
    takeUpdate,
    onUpdate,
    onFile,
    codes,
  };
  window.keelcard = keelcard;

  // The colour scheme: "bright", "dim", or "" for the device's own.

  function scheme(name) {
    try {
      localStorage.setItem(SCHEME, name);
    } catch {
      // Without local storage the scheme comes back with the first page.
    }
    showScheme(name);
  }

  function showScheme(name) {
    if (name === "bright" || name === "dim") {
      root.dataset.scheme = name;
    } else {
      delete root.dataset.scheme;
    }
    if (document.body) {
      tintBrowser();
    }
  }

  // The browser's own bars take the colour of the paper.
  function tintBrowser() {
    const paper = getComputedStyle(document.body).backgroundColor;
    for (const meta of document.querySelectorAll('meta[name="theme-color"]')) {
      meta.content = paper;
      meta.removeAttribute("media");
    }
  }

  try {
    showScheme(localStorage.getItem(SCHEME) || "");
  } catch {
    // The device's own scheme stands.
  }

  // What tells at the next start that the browser emptied the store: the contests
  // in it, kept in another place, which browsers mostly clear apart from that.

  function mark(text) {
    try {
      localStorage.setItem(MARK, text);
    } catch {
      // Then it cannot be told.
    }
  }

  function marked() {
    try {
      return localStorage.getItem(MARK) || "";
    } catch {
      return "";
    }
  }

  // Trouble.

  function failed(what, safe, detail) {
    keelcard.trouble = [what, safe, detail].filter(Boolean).join(" ");
    const show = () => {
      const box = document.getElementById("trouble");
      const say = (tag, text) => {
        const line = document.createElement(tag);
        line.textContent = text;
        box.append(line);
        return line;
      };
      box.replaceChildren();
      say("h2", what);
      say("p", safe);
      const again = say("button", "Start again");
      again.className = "btn primary";
      again.addEventListener("click", () => location.reload());
      if (detail) {
        const more = document.createElement("details");
        const title = document.createElement("summary");
        title.textContent = "What the program said";
        const text = document.createElement("p");
        text.textContent = detail;
        more.append(title, text);
        box.append(more);
      }
      box.hidden = false;
      if (!keelcard.ready) {
        document.getElementById("app").hidden = true;
      }
    };
    whenParsed(show);
  }

  function whenParsed(run) {
    if (document.readyState === "loading") {
      document.addEventListener("DOMContentLoaded", run, { once: true });
    } else {
      run();
    }
  }

  // The program.

  const WASM = "app.wasm";
  const compiled = compile();
  compiled.catch(() => {}); // reported by start
  // The browser needs a moment to get at its stores. Asked now, it is ready
  // when the program is; what it answers does not matter.
  globalThis.indexedDB?.databases?.().catch(() => {});

  async function compile() {
    try {
      return await WebAssembly.compileStreaming(fetch(WASM));
    } catch {
      // A host that serves the file under another type, or a browser that
      // cannot compile while it loads.
      const response = await fetch(WASM);
      if (!response.ok) {
        throw new Error(`${WASM}: ${response.status} ${response.statusText}`);
      }
      return WebAssembly.compile(await response.arrayBuffer());
    }
  }

  async function start() {
    try {
      const go = new Go();
      const instance = await WebAssembly.instantiate(await compiled, go.importObject);
      first = instance.exports;
      go.run(instance).then(
        () => stopped(""),
        (error) => stopped(String(error)),
      );
    } catch (error) {
      failed(
        "Keelcard could not be opened.",
        "Nothing on this phone was changed. If this is the first time, check the connection, then start again.",
        String(error),
      );
    }
  }

  function stopped(detail) {
    if (!keelcard.trouble) {
      failed(
        "Keelcard stopped.",
        "Everything shown as saved is safe on this phone. Start again to go on where you were.",
        detail,
      );
    }
  }

  // The second part of the program: pages that are rarely opened. It puts its
  // functions into the table of the first part, in whose memory it works; one of
  // another version finds no table of its name and is refused. It is fetched by
  // itself once the first page is drawn and the browser has nothing else to do,
  // and at once when somebody waits for it.

  let first; // what the first part shows of itself
  let coming; // the second part, while it is on its way
  let restCame = () => {};

  function onRest(tell) {
    restCame = tell;
    (window.requestIdleCallback ?? setTimeout)(loadRest);
  }

  async function loadRest() {
    if (keelcard.rest === "away") {
      coming ??= fetchRest();
      try {
        await coming;
        keelcard.rest = "here";
      } catch (error) {
        console.info("The second part of the program did not come:", String(error));
      }
      coming = undefined;
    }
    restCame(keelcard.rest === "here");
  }

  async function fetchRest() {
    try {
      await WebAssembly.instantiateStreaming(fetch(REST), { first });
    } catch {
      // As for the first part. Or there is no connection, and the service worker
      // keeps it since after this page was opened. Or it was of another version.
      const kept = await globalThis.caches?.match(REST, { cacheName: KEPT }).catch(() => undefined);
      const response = kept ?? (await fetch(REST, { cache: "reload" }));
      if (!response.ok) {
        throw new Error(`${REST}: ${response.status} ${response.statusText}`);
      }
      await WebAssembly.instantiate(await response.arrayBuffer(), { first });
    }
  }

  document.addEventListener("DOMContentLoaded", async () => {
    tintBrowser();
    await start();
    registerWorker();
  });

  // The service worker and new versions. A new version waits until it is asked for.

  let registration;
  let updateWaits = () => {};

  async function registerWorker() {
    if (!("serviceWorker" in navigator)) {
      return;
    }
    try {
      registration = await navigator.serviceWorker.register("sw.js", { updateViaCache: "none" });
    } catch (error) {
      console.info("Keelcard works here only with a connection:", String(error));
      return;
    }
    noteWaiting();
    // What reads codes comes last of all, so that a scan needs no connection.
    navigator.serviceWorker.ready.then((ready) => ready.active.postMessage({ later: true }));
    registration.addEventListener("updatefound", () => {
      const worker = registration.installing;
      worker.addEventListener("statechange", () => worker.state === "installed" && noteWaiting());
    });
  }

  function noteWaiting() {
    if (registration.waiting && registration.active) {
      keelcard.update = true;
      updateWaits();
    }
  }

  function onUpdate(tell) {
    updateWaits = tell;
    if (keelcard.update) {
      tell();
    }
  }

  function takeUpdate() {
    if (!registration?.waiting) {
      location.reload(); // another tab took it
      return;
    }
    const worker = registration.waiting;
    worker.addEventListener("statechange", () => worker.state === "activated" && location.reload());
    worker.postMessage({ take: true });
  }

  // Reading picture codes and showing them takes a script that few visits need.

  async function codes(what, tell) {
    try {
      (await import("./codes.js"))[what](tell);
    } catch (error) {
      console.info("The script for codes did not come:", String(error));
      tell?.("trouble", "reader");
    }
  }

  // Files that arrive from outside: shared to Keelcard, or opened with it. What is
  // larger than most is told without its bytes, and what cannot be read with a
  // size below nothing.

  async function onFile(tell, most) {
    const pass = async (files) => {
      for (const file of files) {
        const fits = file.size >= 0 && file.size <= most;
        const bytes = fits && (await file.arrayBuffer().catch(() => undefined));
        tell(file.name, fits && !bytes ? -1 : file.size, new Uint8Array(bytes || 0), files.length > 1);
      }
    };
    window.launchQueue?.setConsumer(async (launch) => {
      const open = (handle) => handle.getFile().catch(() => ({ name: handle.name, size: -1 }));
      await pass(await Promise.all((launch.files ?? []).map(open)));
    });
    try {
      const cache = await caches.open(SHARED);
      const requests = await cache.keys();
      const files = requests.map(async (request) => {
        const response = await cache.match(request);
        return new File([await response.blob()], decodeURIComponent(response.headers.get("x-name") ?? ""));
      });
      await pass(await Promise.all(files));
      await Promise.all(requests.map((request) => cache.delete(request)));
    } catch (error) {
      console.info("Shared files cannot be read here:", String(error));
    }
  }
})();
