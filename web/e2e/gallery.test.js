// Every view in every state: readable by everybody, and no wider than the screen.
import assert from "node:assert/strict";
import { test } from "node:test";
import { LAPTOP, PHONE, none, withPhone } from "./helpers.js";

// axe names the rules to look by, all when it is undefined. What it finds on a
// view is the same on a wide screen and in other colours, but for the colours.
const LOOKS = [
  { name: "phone, bright", viewport: PHONE, scheme: "bright", axe: undefined },
  { name: "phone, dim", viewport: PHONE, scheme: "dim", axe: ["color-contrast"] },
  { name: "laptop, bright", viewport: LAPTOP, scheme: "bright", axe: [] },
];

for (const look of LOOKS) {
  test(`the gallery on a ${look.name}`, { timeout: 300_000 }, () =>
    withPhone({ viewport: look.viewport, server: ["-gallery"] }, async ({ server, phone }) => {
      const { page } = phone;
      await page.goto(`${server.url}gallery?scheme=${look.scheme}`);
      const samples = await page.locator("figcaption a").evaluateAll((links) => links.map((a) => ({ name: a.textContent, href: a.href })));
      assert.ok(samples.length > 0, "there are samples");
      const found = new Map(); // each kind of fault with the places that have it
      for (const { name, href } of samples) {
        await page.goto(href);
        const faults = await phone.overflow();
        if (look.axe?.length !== 0) {
          faults.push(...(await phone.stumbles(page, look.axe)));
        }
        for (const fault of faults) {
          const [kind, place = ""] = fault.split("; ", 2);
          found.set(kind, [...(found.get(kind) ?? []), `${name}: ${place}`]);
        }
      }
      none([...found].map(([kind, places]) => `${kind}, ${places.length} times\n  ${places.slice(0, 6).join("\n  ")}`));
    }));
}
