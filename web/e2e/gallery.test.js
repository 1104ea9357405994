// Every view in every state: readable by everybody, and no wider than the screen.
import assert from "node:assert/strict";
import { test } from "node:test";
import { LAPTOP, PHONE, none, withPhone } from "./helpers.js";

// What axe finds on a view is the same on a wide screen and in other colours,
// but for the colours. So each view is looked at on a phone in the sun and in the
// dark, and afterwards only measured on a laptop. Colours go by classes: in the
// dark, a view of classes that were all looked at before shows nothing new.
async function look(phone, seen) {
  const { page } = phone;
  const faults = [...(await phone.overflow()), ...(await phone.stumbles())];
  const classes = await page.evaluate(() => [...new Set([...document.querySelectorAll("body [class]")].map((e) => `${e.localName} ${e.getAttribute("class")}`))]);
  const fresh = classes.filter((c) => !seen.has(c));
  fresh.forEach((c) => seen.add(c));
  await page.evaluate(() => (document.documentElement.dataset.scheme = "dim"));
  const dim = fresh.length > 0 ? await phone.stumbles(page, ["color-contrast"]) : [];
  return [...faults, ...dim.map((f) => `dim: ${f}`)];
}

/**
 * Puts a view in place of the one that is open, as if it had been opened by its
 * address: views differ in their body alone, which is asserted. So the style
 * and axe are read once, not for every view.
 */
async function open(page, href) {
  const strange = await page.evaluate(async (address) => {
    const html = await (await fetch(address)).text();
    const view = new DOMParser().parseFromString(html, "text/html");
    const frame = (d) => d.documentElement.cloneNode(false).outerHTML + d.head.outerHTML;
    window.frame ??= frame(view);
    if (frame(view) !== window.frame || view.querySelector("script, [autofocus]")) {
      return html;
    }
    document.body.replaceWith(document.adoptNode(view.body));
    document.documentElement.dataset.scheme = view.documentElement.dataset.scheme;
    scrollTo(0, 0);
    return "";
  }, href);
  assert.equal(strange, "", `${href} is more than a body`);
}

test("the gallery, on a phone and a laptop, bright and dim", () =>
  withPhone({ seconds: 400, viewport: PHONE, server: ["-gallery"] }, async ({ server, phone }) => {
    const { page } = phone;
    await page.goto(`${server.url}gallery?scheme=bright`);
    const samples = await page.locator("figcaption a").evaluateAll((links) => links.map((a) => ({ name: a.textContent, href: a.href })));
    assert.ok(samples.length > 0, "there are samples");
    const seen = new Set(); // elements with their classes that were looked at in the dark
    const found = new Map(); // each kind of fault with the places that have it
    await page.goto(samples[0].href);
    const through = async (faults) => {
      for (const { name, href } of samples) {
        await open(page, href);
        for (const fault of await faults()) {
          const [kind, place = ""] = fault.split("; ", 2);
          found.set(kind, [...(found.get(kind) ?? []), `${name}: ${place}`]);
        }
      }
    };
    await through(() => look(phone, seen));
    await page.setViewportSize(LAPTOP);
    await through(async () => (await phone.overflow()).map((f) => `laptop: ${f}`));
    none([...found].map(([kind, places]) => `${kind}, ${places.length} times\n  ${places.slice(0, 6).join("\n  ")}`));
  }));
