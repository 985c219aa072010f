// What moved since last week: nothing where the week brought nothing; days and reasons where it did.

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { promisify } from "node:util";

import { axe, browser, fits, noFaults, serve, session, VIEWS, vnu } from "./harness.mjs";

const run = promisify(execFile);
const BINARY = process.env.CROWNHOLD ?? "target/debug/crownhold";

let desk, chromium, visit;
before(async () => {
  desk = await serve("--on", "2027-05-10");
  chromium = await browser();
  visit = await session(chromium, desk);
});
after(async () => {
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

/** A made-up spring up to the day before the desk's, its last week eight degrees warmer than its course. */
function warmWeek() {
  const rows = ["date,high_c,low_c"];
  const day = new Date(Date.UTC(2027, 0, 1));
  for (let n = 1; n <= 129; n += 1, day.setUTCDate(day.getUTCDate() + 1)) {
    const mean = 9 - 13.5 * Math.cos((2 * Math.PI * (n - 20)) / 365) + (n > 122 ? 8 : 0);
    rows.push(`${day.toISOString().slice(0, 10)},${(mean + 6).toFixed(1)},${(mean - 6).toFixed(1)}`);
  }
  return rows.join("\n");
}

const moves = (page) => page.locator("#moved-head ~ .scroll").first().locator("tbody tr").allInnerTexts();

test("a week without weather or samples moves nothing and says so", async () => {
  const page = await visit.page(VIEWS[0]);
  await page.goto("/timing");
  assert.match(await page.locator("#moved-head ~ ul").first().innerText(), /No day of this week has been measured/);
  assert.match(await page.locator("#moved-head ~ ul").first().innerText(), /No field sample is from this week/);
  for (const row of await moves(page)) assert.match(row, /same day|still not this year/);
});

test("a warm week draws dates forward, and samples of the week are named", async () => {
  const file = join(dirname(desk.file), "spring.csv");
  await writeFile(file, warmWeek());
  await run(BINARY, ["import", "--as", "weather", "--station", "PELLWOOD-1", "--into", desk.file, file]);
  for (const view of VIEWS) {
    const page = await visit.page(view);
    const answer = await page.goto("/timing");
    const why = await page.locator("#moved-head ~ ul").first().innerText();
    assert.match(why, /warmer than usual, which draws dates forward/);
    const rows = await moves(page);
    assert.ok(rows.some((row) => /days? earlier/.test(row)), rows.join("\n"));
    assert.ok(!rows.some((row) => /Third|third/.test(row) && /later/.test(row)), rows.join("\n"));
    await axe(page);
    await fits(page);
    noFaults(page);
    if (view === VIEWS[0]) await vnu([{ name: "/timing", html: await answer.text() }]);
  }
  await run(BINARY, ["sample", desk.file, "--kind", "no hatch yet", "--on", "2027-05-06"]);
  const page = await visit.page(VIEWS[0]);
  await page.goto("/timing");
  assert.match(await page.locator("#moved-head ~ ul").first().innerText(), /Seen in the field: no hatch yet/);
});
