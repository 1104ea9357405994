// A phone that dies at a chosen operation of its store: the page counts what is
// asked of IndexedDB and stands still at the operation it dies at, so that the
// moment does not depend on how fast the machine is. The app knows nothing of
// it.
import assert from "node:assert/strict";
import { soon } from "./helpers.js";

/** At how many kinds of moments a page can die. */
export const MOMENTS = 5;

/**
 * Flags for a browser whose pages die young. Code is compiled once, since none of
 * it runs long enough to be worth more, and no process is started for a page
 * that may come: both are a quarter of the work of a death.
 */
export const SHORT_LIVED = ["--renderer-process-limit=1", "--js-flags=--liftoff-only"];

/** Runs in the page before the app: counts, and plays steps. */
function prepare() {
  // The second part of the program comes when a page of it is opened, not before.
  window.requestIdleCallback = () => 0;

  const dying = (window.dying = { left: 0, told: 0, safe: 0 });

  const point = (what) => {
    if (dying.left > 0 && --dying.left === 0) {
      window.dies(what, dying.told, dying.safe);
      for (const until = performance.now() + 30_000; performance.now() < until; ) {
        // Nothing of the page goes on until it is killed.
      }
    }
  };
  const later = (what) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => point(what);
    port2.postMessage(0);
  };

  const open = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (...given) {
    const transaction = open.apply(this, given);
    if (transaction.mode === "readwrite") {
      transaction.addEventListener("complete", () => point("the disk has it and the app does not know"));
      point("a transaction is open");
    }
    return transaction;
  };
  for (const method of ["put", "delete"]) {
    const was = IDBObjectStore.prototype[method];
    IDBObjectStore.prototype[method] = function (...given) {
      const request = was.apply(this, given);
      request.addEventListener("success", () => {
        point("an operation is done");
        later("after an operation, when the last of them is being committed");
      });
      point("an operation is asked for");
      return request;
    };
  }

  const until = (true_) =>
    new Promise((done, fail) => {
      const late = performance.now() + 15_000;
      const look = () => {
        if (true_()) {
          done();
        } else if (performance.now() > late) {
          fail(new Error(`in vain: ${true_}`));
        } else {
          setTimeout(look, 2);
        }
      };
      look();
    });

  /**
   * Taps one step after another, waits where a step says so until all of it is
   * saved, and stands still at the operation of that number, 0 for none.
   */
  dying.play = async (steps, left) => {
    Object.assign(dying, { left, told: 0, safe: 0 });
    const saved = window.keelcard.saved;
    for (const { hash, tap, wait } of steps) {
      if (hash && location.hash !== hash) {
        location.hash = hash;
        await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
      }
      const button = () => document.querySelector(`[data-do="${tap}"]`);
      await until(button);
      dying.told++;
      button().click();
      if (wait) {
        await until(() => window.keelcard.saved >= saved + dying.told && window.keelcard.pending === 0);
        dying.safe = dying.told;
      }
    }
    await until(() => window.keelcard.saved >= saved + dying.told && window.keelcard.pending === 0);
    dying.left = 0;
  };
}

/** Makes every later page of a phone one that can die. */
export async function mayDie(phone) {
  await phone.context.addInitScript(prepare);
  await phone.context.exposeBinding("dies", (_, what, told, safe) => phone.died({ what, told, safe }));
  await reborn(phone);
}

/** Opens a page in place of the one that is dead. */
async function reborn(phone) {
  const dead = phone.page;
  phone.page = await soon(phone.context.newPage(), "a new page");
  await soon(dead.close(), "the dead page to be closed");
}

/**
 * Plays the steps and kills the page at the operation of that number. Gives
 * when it died, how many steps had been tapped by then, and how many of them
 * the app counted as saved; or null if the steps take fewer operations.
 */
export async function die(phone, steps, operation) {
  const died = new Promise((resolve) => (phone.died = resolve));
  const crashed = new Promise((resolve) => phone.page.once("crash", resolve));
  const cdp = await soon(phone.context.newCDPSession(phone.page), "a way to kill the page");
  const through = phone.page.evaluate(([list, left]) => window.dying.play(list, left), [steps, operation]).then(
    () => null,
    (error) => ({ error }),
  );
  const end = await soon(Promise.race([died, through]), `the steps to operation ${operation}`);
  if (end === null) {
    await cdp.detach();
    return null;
  }
  assert.ok(!end.error, `${end.error}`);
  cdp.send("Page.crash").catch(() => {}); // nobody answers
  await soon(crashed, `the page that stood still at "${end.what}" to be dead`);
  await reborn(phone);
  return end;
}
