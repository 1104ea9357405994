// What every browser test needs: a server on a free port, phones with a store
// of their own, and the rules that hold for every page: no error in the
// console, no failed request, nothing from another host.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { mkdtemp, mkdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const BUILD = fileURLToPath(new URL("../../.build/", import.meta.url));
const SERVE = join(BUILD, "serve");

/**
 * Folders that `make e2e` builds: the release, and the same with another version.
 * SITE names another folder in place of the release, such as one of a quick build.
 */
export const RELEASE = process.env.SITE ?? join(BUILD, "release");
export const SECOND = join(BUILD, "second");

export const PHONE = { width: 360, height: 740 };
export const LAPTOP = { width: 1280, height: 800 };

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

// Under load a page takes its time; what never comes fails all the same.
const PATIENCE = 20_000;

/** Waits, and says for what when it waited in vain. */
export async function soon(promise, what, seconds = 60) {
  let timer;
  const late = new Promise((_, fail) => {
    timer = setTimeout(() => fail(new Error(`waited ${seconds} s in vain for ${what}`)), seconds * 1000);
  });
  try {
    return await Promise.race([promise, late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Serves a folder, on a free port or, to come back after stop, on the one given. */
export async function serve(folder = RELEASE, port = 0, more = []) {
  const child = spawn(SERVE, ["-dir", folder, "-addr", `127.0.0.1:${port}`, ...more], { stdio: ["ignore", "pipe", "inherit"] });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  const line = await Promise.race([
    new Promise((resolve) => createInterface({ input: child.stdout }).once("line", resolve)),
    ended.then((code) => Promise.reject(new Error(`the server ended with ${code}`))),
  ]);
  const url = line.match(/http:\S+/)[0];
  return {
    url,
    port: Number(new URL(url).port),
    version: line.split(" ")[1],
    async stop() {
      child.kill();
      await soon(ended, "the server to end");
    },
  };
}

/**
 * A phone: a browser with a store of its own that lasts when it is closed and
 * opened again. Close it with done(), which also fails the test if a page
 * broke a rule.
 */
export class Phone {
  /** @param options viewport, url, and flags for the browser */
  static async create(options) {
    const phone = new Phone();
    phone.options = { viewport: PHONE, flags: [], ...options };
    phone.profile = await mkdtemp(join(tmpdir(), "keelcard-phone-"));
    phone.broken = [];
    phone.mayFail = false;
    await phone.open();
    return phone;
  }

  async open() {
    const { viewport, flags, scheme, context } = this.options;
    this.context = await chromium.launchPersistentContext(this.profile, {
      executablePath: "/usr/bin/chromium",
      headless: true,
      args: [...FLAGS, ...flags],
      viewport,
      colorScheme: scheme ?? "light",
      hasTouch: viewport.width < 600,
      acceptDownloads: true,
      ...context,
    });
    this.context.setDefaultTimeout(PATIENCE);
    this.context.on("page", (page) => this.watch(page));
    this.page = this.context.pages()[0] ?? (await this.context.newPage());
    this.watch(this.page);
  }

  /** Notes whatever no page may do. */
  watch(page) {
    if (page.watched) {
      return;
    }
    page.watched = true;
    const note = (text) => this.mayFail || this.broken.push(text);
    page.on("console", (message) => message.type() === "error" && note(`console: ${message.text()} ${message.location().url}`));
    page.on("pageerror", (error) => note(`script: ${error}`));
    page.on("requestfailed", (request) => {
      // A request that a reload broke off is no failure.
      if (request.failure()?.errorText !== "net::ERR_ABORTED") {
        note(`failed: ${request.url()} ${request.failure()?.errorText}`);
      }
    });
    page.on("request", (request) => {
      const url = new URL(request.url());
      if (url.protocol.startsWith("http") && url.origin !== new URL(this.options.url).origin) {
        note(`another host: ${request.url()}`);
      }
    });
  }

  /** Opens the app and waits for its first page. */
  async start(hash = "") {
    await this.page.goto(this.options.url + hash);
    await this.ready();
    return this.page;
  }

  async ready(page = this.page) {
    await page.waitForFunction(() => window.keelcard?.ready || window.keelcard?.trouble);
    const trouble = await page.evaluate(() => window.keelcard.trouble);
    assert.equal(trouble, "", "the app says it cannot go on");
  }

  /** Waits until everything asked for is on the disk. */
  async saved(page = this.page) {
    await page.waitForFunction(() => window.keelcard.pending === 0);
  }

  /** Waits until the service worker keeps this version. */
  async stored(page = this.page) {
    await soon(page.evaluate(() => navigator.serviceWorker.ready), "the service worker");
    await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === "activated");
  }

  async reload() {
    await this.page.reload();
    await this.ready();
  }

  /** Closes the browser and opens it again, as when a phone was switched off. */
  async restart() {
    await this.context.close();
    await this.open();
  }

  async offline(on = true) {
    await this.context.setOffline(on);
  }

  /** Makes the processor of the page's main thread slower. */
  async slow(times, page = this.page) {
    const cdp = await this.context.newCDPSession(page);
    await cdp.send("Emulation.setCPUThrottlingRate", { rate: times });
    return cdp;
  }

  /** Taps the element with this action. */
  async tap(action) {
    await this.page.locator(`[data-do="${action}"]`).first().click();
  }

  /**
   * The milliseconds from a tap on the element with this action to the painted
   * answer, as the browser measures it: in steps of 8, and 16 for all below.
   */
  async tapTime(action) {
    await this.page.evaluate(() => {
      window.taps = [];
      window.tapObserver ??= new PerformanceObserver((list) => window.taps.push(...list.getEntries()));
      window.tapObserver.observe({ type: "event", durationThreshold: 16 });
    });
    await this.tap(action);
    return this.page.evaluate(async () => {
      await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 300)));
      const taps = window.taps.filter((entry) => entry.name === "click" || entry.name === "pointerup");
      return Math.max(16, ...taps.map((entry) => entry.duration));
    });
  }

  /** Waits for the download that `act` starts; gives its name and bytes. */
  async download(act) {
    const [download] = await Promise.all([this.page.waitForEvent("download"), act()]);
    return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
  }

  /** Keeps a picture of the page in .build/shots. */
  async shot(name, page = this.page) {
    const path = join(BUILD, "shots", `${name}.png`);
    await mkdir(dirname(path), { recursive: true });
    await page.screenshot({ path, fullPage: true });
    return path;
  }

  /** What axe-core finds: what a screen reader or a keyboard would stumble over. */
  async stumbles(page = this.page, rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]) {
    if (!(await page.evaluate(() => "axe" in window))) {
      await page.evaluate(`(() => { ${axe()}; })()`);
    }
    // What the dock covers can be scrolled out from under it, so it takes no room while axe looks.
    return page.evaluate(`
      for (const e of document.querySelectorAll("body *")) {
        if (/sticky|fixed/.test(getComputedStyle(e).position)) { e.style.position = "static"; e.dataset.laid = ""; }
      }
      axe.run({ runOnly: ${JSON.stringify(rules)}, resultTypes: ["violations"] }).then((found) => {
        for (const e of document.querySelectorAll("[data-laid]")) { e.style.position = ""; delete e.dataset.laid; }
        return found.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + v.help + "; " + n.html));
      })`);
  }

  /** How the page is wider than the screen, if it is. */
  async overflow(page = this.page) {
    const [wide, screen] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    return wide > screen ? [`the page is ${wide} wide on a screen of ${screen}`] : [];
  }

  /** Fails with what stumbles finds. */
  async accessible(page = this.page) {
    none(await this.stumbles(page));
  }

  /** Fails if the page is wider than the screen. */
  async fits(page = this.page) {
    none(await this.overflow(page));
  }

  async done() {
    await soon(this.context.close(), "the browser to close");
    await rm(this.profile, { recursive: true, force: true });
    none(this.broken);
  }
}

/**
 * Runs a test with a server and a phone, and cleans up after it.
 * `play` gets { server, phone, more } where more() makes another phone. Options
 * are those of a phone, folder and server, the flags of the server, and seconds,
 * how long all of it may take: no single step of a browser is sure to end.
 */
export async function withPhone(options, play) {
  const server = await serve(options.folder, 0, options.server);
  const phones = [];
  const more = async (extra = {}) => {
    const phone = await Phone.create({ url: server.url, ...options, ...extra });
    phones.push(phone);
    return phone;
  };
  let failure;
  try {
    const whole = async () => play({ server, phone: await more(), more });
    await soon(whole(), "the end of the journey", options.seconds ?? 280);
  } catch (error) {
    failure = error;
    for (const [i, phone] of phones.entries()) {
      failure.message += `\nphone ${i + 1} was at ${phone.page.url()}`;
      await soon(phone.shot(`failed-${Date.now()}-${i}`), "a picture", 30).catch(() => {});
    }
  }
  for (const phone of phones) {
    await phone.done().catch((error) => (failure ??= error));
  }
  await server.stop();
  if (failure) {
    throw failure;
  }
}

/**
 * Checks a time against its budget. The best of several tries counts, with a
 * margin of three times the budget, since the machine does other things too;
 * the figures are printed.
 */
export async function within(budget, what, measure, tries = 5) {
  const times = [];
  for (let i = 0; i < tries; i++) {
    times.push(Math.round(await measure()));
  }
  const best = Math.min(...times);
  console.log(`${what}: ${best} ms, budget ${budget} (all: ${times.join(" ")})`);
  assert.ok(best < 3 * budget, `${what} took ${best} ms at best; the budget is ${budget}`);
}

/** Fails with the faults, one a line. */
export function none(faults) {
  if (faults.length > 0) {
    assert.fail(`${faults.length} faults\n${faults.join("\n")}`);
  }
}

let axeSource;
function axe() {
  axeSource ??= readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  return axeSource;
}
