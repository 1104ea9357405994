// Every view in every state: readable by everybody, and no wider than the screen.
import assert from "node:assert/strict";
import { test } from "node:test";
import { LAPTOP, PHONE, none, withPhone } from "./helpers.js";

// What axe finds on a view is the same on a wide screen and in other colours,
// but for the colours. So each view is opened once, and looked at in turn on a
// phone in the sun, in the dark, and on a laptop. Colours go by classes: in the
// dark, a view of classes that were all looked at before shows nothing new.
async function look(phone, seen) {
  const { page } = phone;
  const faults = [...(await phone.overflow()), ...(await phone.stumbles())];
  const classes = await page.evaluate(() => [...new Set([...document.querySelectorAll("body [class]")].map((e) => `${e.localName} ${e.getAttribute("class")}`))]);
  const fresh = classes.filter((c) => !seen.has(c));
  fresh.forEach((c) => seen.add(c));
  await page.evaluate(() => (document.documentElement.dataset.scheme = "dim"));
  const dim = fresh.length > 0 ? await phone.stumbles(page, ["color-contrast"]) : [];
  await page.setViewportSize(LAPTOP);
  const wide = await phone.overflow();
  await page.setViewportSize(PHONE);
  return [...faults, ...dim.map((f) => `dim: ${f}`), ...wide.map((f) => `laptop: ${f}`)];
}

test("the gallery, on a phone and a laptop, bright and dim", { timeout: 600_000 }, () =>
  withPhone({ viewport: PHONE, server: ["-gallery"] }, async ({ server, phone }) => {
    const { page } = phone;
    await page.goto(`${server.url}gallery?scheme=bright`);
    const samples = await page.locator("figcaption a").evaluateAll((links) => links.map((a) => ({ name: a.textContent, href: a.href })));
    assert.ok(samples.length > 0, "there are samples");
    const seen = new Set(); // elements with their classes that were looked at in the dark
    const found = new Map(); // each kind of fault with the places that have it
    for (const { name, href } of samples) {
      await page.goto(href);
      for (const fault of await look(phone, seen)) {
        const [kind, place = ""] = fault.split("; ", 2);
        found.set(kind, [...(found.get(kind) ?? []), `${name}: ${place}`]);
      }
    }
    none([...found].map(([kind, places]) => `${kind}, ${places.length} times\n  ${places.slice(0, 6).join("\n  ")}`));
  }));
