// Results that came as a link, on a phone that has the app and nothing else.
import assert from "node:assert/strict";
import { test } from "node:test";
import { withPhone } from "./helpers.js";
import { openDemo, shared, stubShare, textOf, visit } from "./journey.js";

test("a results link opens cold, without a network, on a phone that never saw the contest", () =>
  withPhone({}, async ({ server, phone: sender, more }) => {
    const page = await sender.start();
    await stubShare(sender);
    const contest = await openDemo(sender);
    await visit(page, contest, "results");
    const ranking = await page.locator('[id^="rank-"]').evaluateAll((rows) =>
      rows.map((row) => ({ number: row.id.replace("rank-", ""), total: row.innerText.trim().split("\n").at(-1) })),
    );
    assert.equal(ranking.length, 40);
    await visit(page, contest, "share");
    const { text } = await shared(page, "share.link");
    const link = text.split("\n").at(-1);
    assert.ok(link.length < 1000, `${link.length} letters fit a message`);

    const reader = await more();
    await reader.start();
    await reader.stored();
    await server.stop();
    await reader.restart();
    await reader.page.goto(link);
    await reader.ready();
    await reader.page.locator("#linked").waitFor();
    assert.match(await textOf(reader.page, "#linked"), /Tamarack County Poultry Day/);
    const rows = await reader.page.locator("#linked-table tbody tr").evaluateAll((all) =>
      all.map((row) => [...row.cells].map((cell) => cell.textContent.trim())),
    );
    assert.deepEqual(
      rows.map((cells) => ({ number: cells[1], total: cells[2] })),
      ranking,
    );
    await visit(reader.page, "", "home");
    assert.equal(await reader.page.locator('[id^="contest-"]').count(), await reader.page.locator("#contest-more").count(), "no contest came with it");
  }));
