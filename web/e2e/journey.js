// What the journeys share: ways to tap, to read what is on the page and on the
// disk, and to look at a page in every light.
import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import { LAPTOP, PHONE, RELEASE } from "./helpers.js";

/** Waits until the page shows what the last tap made of it. */
export function drawn(page) {
  return page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
}

/** The element that sends an action. */
export function doing(page, action) {
  return page.locator(`[data-do="${action}"]`).first();
}

/** Taps elements one after another by the actions they send. */
export async function tap(page, ...actions) {
  for (const action of actions) {
    await doing(page, action).click();
    await drawn(page);
  }
}

/**
 * Taps a place on a drawing where a finger meets the element with this action
 * and nothing above it.
 */
export async function tapDrawing(page, action) {
  const element = doing(page, action);
  await element.scrollIntoViewIfNeeded();
  const place = await element.evaluate((wanted) => {
    const box = wanted.getBoundingClientRect();
    const parts = 24;
    for (let i = 1; i < parts * parts; i++) {
      const x = box.left + (box.width * (i % parts)) / parts;
      const y = box.top + (box.height * Math.floor(i / parts)) / parts;
      if (document.elementFromPoint(x, y)?.closest("[data-do]") === wanted) {
        return { x, y };
      }
    }
    return null;
  });
  assert.ok(place, `a finger can reach ${action}`);
  await page.mouse.click(place.x, place.y);
  await drawn(page);
}

const ROOTS = {
  home: "#home",
  call: "#call",
  "take-in": "#taking",
  phone: "#phone",
  about: "#about",
  new: "#new",
  "results-link": "#results-link",
  contest: "#overview",
  settings: "#settings",
  class: "#class",
  people: "#people",
  person: "#person",
  key: "#key",
  keying: "#keying, #keying-choice",
  questions: "#questions, #question",
  history: "#history",
  hens: "#worksheet",
  ruling: "#ruling",
  results: "#results",
  slip: "#slip",
  slips: "#slips",
  share: "#share",
  "hand-over": "#hand-over",
  invite: "#invite",
  phones: "#phones-page",
  recovery: "#recovery",
  "show-code": "#show-code",
  scan: "#scan",
};

/** Opens a page by its address, as a bookmark would, without loading anew. */
export async function visit(page, contest, name, ...args) {
  const parts = [contest && "c", contest, name !== "home" && name !== "contest" && name, ...args];
  const hash = `#/${parts.filter(Boolean).join("/")}`;
  await page.evaluate((to) => {
    location.hash = to;
  }, hash);
  await drawn(page);
  await page.locator(ROOTS[name]).waitFor();
}

/** The id of the contest that is open. */
export function contestOf(page) {
  return page.url().match(/#\/c\/([0-9a-f]+)/)[1];
}

/** The text of an element as people see it, its spaces and lines made one. */
export async function textOf(page, selector) {
  return (await page.locator(selector).first().innerText()).replace(/\s+/g, " ").trim();
}

/** Gives the person on this phone their initials, on the page of the phone. */
export async function sign(phone, initials) {
  await visit(phone.page, "", "phone");
  await phone.page.fill("#f-initials", initials);
  await phone.page.press("#f-initials", "Tab");
  await phone.saved();
}

/** Opens the demo contest from the first page; gives its id. */
export async function openDemo(phone) {
  await tap(phone.page, "demo.open");
  await phone.page.locator("#overview").waitFor();
  await phone.saved();
  return contestOf(phone.page);
}

/**
 * Begins a contest with one class of ten carcasses and contestants without
 * names; gives its id. Its answers are sealed only if that is asked for: phones
 * then join by invitation.
 */
export async function beginContest(phone, initials, numbers, { sealed = false } = {}) {
  const { page } = phone;
  await visit(page, "", "new");
  await page.fill("#f-name", "Quarry Road Poultry Day");
  await page.fill("#f-initials", initials);
  await page.setChecked("#f-sealed", sealed);
  await page.click("#new-start");
  await page.locator("#overview").waitFor();
  const contest = contestOf(page);
  await visit(page, contest, "class", "new");
  await tap(page, "class.add:carcass-youth");
  await visit(page, contest, "people", "paste");
  await page.fill("#f-paste", numbers.join("\n"));
  await tap(page, "people.take");
  await page.locator("#list").waitFor();
  await phone.saved();
  return contest;
}

/** Whether pictures of what is looked at are kept: they take nearly half of the time of a look. */
const SHOTS = process.env.SHOTS === "1";

/**
 * Looks at a page on a phone and on a laptop, bright and dim: it fits, nobody
 * is kept out, and with SHOTS=1 a picture of it is kept. Gives what is wrong. What keeps
 * people out does not change with the light, except by its colours.
 */
export async function look(phone, name) {
  const { page } = phone;
  const faults = [];
  const check = (where, done) => done.catch((error) => faults.push(`${name}, ${where}: ${error.message}`));
  const light = async (viewport, colorScheme) => {
    await page.setViewportSize(viewport);
    await page.emulateMedia({ colorScheme });
    await drawn(page);
  };
  // On a wide screen what is seen at once is enough of a picture.
  const view = (shot) => SHOTS && page.screenshot({ path: join(RELEASE, "..", "shots", `${shot}.png`) });
  const whole = (shot) => SHOTS && phone.shot(shot);
  await light(PHONE, "light");
  await check("phone", phone.fits());
  await check("phone", phone.accessible());
  await whole(`${name}-phone-bright`);
  await light(PHONE, "dark");
  await check("phone, dim", colours(page));
  await whole(`${name}-phone-dim`);
  if (SHOTS) {
    await light(LAPTOP, "dark");
    await view(`${name}-laptop-dim`);
  }
  await light(LAPTOP, "light");
  await check("laptop", phone.fits());
  await view(`${name}-laptop-bright`);
  await light(PHONE, "light");
  return faults;
}

/** Fails with the colours that axe-core, which is on the page, finds hard to see. */
async function colours(page) {
  const faults = await page.evaluate(async () => {
    const { violations } = await window.axe.run({ runOnly: ["color-contrast", "link-in-text-block"] });
    return violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.html} ${n.failureSummary}`));
  });
  assert.deepEqual(faults, []);
}

/** Everything the phone keeps, by store and key. */
export function kept(page) {
  return page.evaluate(async () => {
    const answer = (request) =>
      new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    const db = await answer(indexedDB.open("keelcard"));
    const all = {};
    for (const name of db.objectStoreNames) {
      const store = db.transaction(name).objectStore(name);
      const [keys, values] = await Promise.all([answer(store.getAllKeys()), answer(store.getAll())]);
      keys.forEach((key, i) => (all[`${name}/${key}`] = String(values[i])));
    }
    db.close();
    return all;
  });
}

/** Chooses files on the page of taking in, and waits for what comes of it. */
export async function offer(phone, ...files) {
  const { page } = phone;
  await visit(page, "", "home"); // what was offered before is out of sight
  await visit(page, "", "take-in");
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), doing(page, "take-in.pick").click()]);
  await chooser.setFiles(files.map(({ name, bytes }) => ({ name, mimeType: "text/plain", buffer: bytes })));
  await page.locator("#coming, #taking .notice.bad").first().waitFor();
  await drawn(page);
}

/** Puts a share sheet in the page that takes everything; sharedOn reads it. */
export async function stubShare(phone) {
  const stub = () => {
    window.shared = [];
    Object.defineProperty(navigator, "share", {
      configurable: true,
      value: async (what) => {
        window.shared.push(what);
      },
    });
  };
  await phone.context.addInitScript(stub);
  await phone.page.evaluate(stub);
}

/** Taps what shares something and gives what reached the share sheet. */
export async function shared(page, action) {
  const before = await page.evaluate(() => window.shared.length);
  await doing(page, action).click();
  await page.waitForFunction((n) => window.shared.length > n, before);
  return page.evaluate(() => window.shared.at(-1));
}

/** The process of a phone's browser. It leads the group of all of its processes. */
export async function browserOf(phone) {
  for (const pid of await processes()) {
    const command = await readFile(`/proc/${pid}/cmdline`, "utf8").catch(() => "");
    if (command.includes(`--user-data-dir=${phone.profile}\0`) && !command.includes("--type=")) {
      return Number(pid);
    }
  }
  throw new Error(`no browser runs on ${phone.profile}`);
}

const processes = async () => (await readdir("/proc")).filter((name) => /^\d+$/.test(name));

/**
 * How long the threads of a phone's browser had a processor, and how long they
 * waited for one that others had, in nanoseconds since they began.
 */
export async function processorOf(phone) {
  const group = await browserOf(phone);
  const sum = { ran: 0, waited: 0 };
  for (const pid of await processes()) {
    const stat = await readFile(`/proc/${pid}/stat`, "utf8").catch(() => "");
    // After the name in brackets: state, parent, group.
    if (Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[2]) !== group) {
      continue;
    }
    for (const thread of await readdir(`/proc/${pid}/task`).catch(() => [])) {
      const [ran = 0, waited = 0] = (await readFile(`/proc/${pid}/task/${thread}/schedstat`, "utf8").catch(() => "")).split(" ").map(Number);
      sum.ran += ran;
      sum.waited += waited;
    }
  }
  return sum;
}
