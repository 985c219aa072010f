// The trade-off: worked out with progress, looked at, and a plan picked from it.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { atTheDesk, axe, fits, noFaults, VIEWS, vnu } from "./harness.mjs";

let at;

before(async () => {
  at = await atTheDesk(VIEWS[0]);
});
after(() => at?.close());

test("worked out, seen in every size, and a plan kept from it", async () => {
  const { page } = at;
  await page.goto("/plan/frontier");
  await page.getByRole("button", { name: "Work it out" }).click();
  await page.waitForURL(/\/plan\/frontier$/, { timeout: 300_000 });
  await page.getByRole("heading", { name: "The plans" }).waitFor();
  const rows = await page.locator("tbody tr").count();
  assert.ok(rows >= 5, `${rows} plans`);
  assert.ok((await page.locator("svg circle:visible").count()) >= rows);
  const html = await page.content();
  for (const view of VIEWS) {
    const other = await at.visit.page(view);
    await other.goto("/plan/frontier");
    await axe(other);
    await fits(other);
    noFaults(other);
    if (process.env.SHOTS) await other.screenshot({ path: `${process.env.SHOTS}/frontier ${view.name}.png`, fullPage: true });
  }
  await vnu([{ name: "trade-off", html }]);
  const wanted = await page.locator("tbody tr").nth(2).locator("td").first().textContent();
  await page.getByRole("button", { name: "Keep this plan 3", exact: true }).click();
  await page.waitForURL(/\/plan\?plan=\d+/);
  assert.ok((await page.locator("main").textContent()).includes(`trade-off, ${wanted.trim()}`), wanted);
  await page.goto("/plan/frontier");
  await page.getByRole("heading", { name: "The plans" }).waitFor();
});
