// How good the dates would have been: judged by the model's own dates, and by dates that somebody saw.

import assert from "node:assert/strict";
import { mkdtemp, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { axe, browser, fits, noFaults, serve, session, VIEWS, vnu } from "./harness.mjs";

let desk, chromium, visit;
before(async () => {
  desk = await serve("--on", "2027-03-01");
  chromium = await browser();
  visit = await session(chromium, desk);
});
after(async () => {
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

const judge = (page) => page.getByRole("button", { name: "Forecast the past years" }).click();

test("past years are forecast and judged, by keyboard, and can be looked at by event and day", async () => {
  const page = await visit.page(VIEWS[0]);
  await page.goto("/timing");
  await page.getByRole("link", { name: "past years" }).click();
  await page.getByRole("button", { name: "Forecast the past years" }).focus();
  await page.keyboard.press("Enter");
  // Thirty years from four days each: half a minute where nothing is optimised.
  await page.getByRole("heading", { name: "Year by year" }).waitFor({ timeout: 240_000 });
  const lead = page.locator(".lead");
  assert.match(await lead.innerText(), /hatch 50 % would have been off by \d+\.\d.days on average/u);
  assert.equal(await page.locator("figure .on-wide circle").count(), 32, "thirty years and two in the key");
  await page.getByRole("link", { name: "Third instar 50 %" }).click();
  await page.getByRole("link", { name: "May 1", exact: true }).click();
  assert.match(await lead.innerText(), /Asked on May 1, .* third instar 50 %/u);
  assert.match(page.url(), /issued=05-01/u);
  await axe(page);
  await vnu([{ name: page.url(), html: await page.content() }]);
  const phone = await visit.page(VIEWS[2]);
  await phone.goto(page.url());
  await fits(phone);
  noFaults(phone);
});

test("a file of dates seen judges weather and biology together, and a bad one is refused with its row", async () => {
  const folder = await mkdtemp(join(tmpdir(), "seen-"));
  const good = join(folder, "seen.csv");
  const bad = join(folder, "bad.csv");
  await writeFile(good, "year,event,date\n2020,hatch 50 %,2020-05-09\n2021,hatch 50 %,2021-05-12\n2022,hatch 50 %,2022-05-03\n");
  await writeFile(bad, "year,event,date\n2020,hatching,2020-05-09\n2021,hatch 50 %,soon\n");
  const page = await visit.page(VIEWS[0]);
  await page.goto("/timing/hindcast");
  await page.getByLabel("Dates seen in the field").setInputFiles(good);
  await judge(page);
  await page.getByText("held against the dates seen in the field (seen.csv)").waitFor({ timeout: 240_000 });
  assert.equal(await page.locator("figure .on-wide circle").count(), 5, "three years and two in the key");
  await page.goto("/timing/hindcast");
  await page.getByLabel("Dates seen in the field").setInputFiles(bad);
  await judge(page);
  const said = await page.locator("main").innerText();
  assert.match(said, /row 2/u);
  assert.match(said, /row 3/u);
});

test("the dates come as a sheet", async () => {
  const page = await visit.page(VIEWS[0]);
  await page.goto("/papers");
  const answer = await page.request.get("/papers/season-dates");
  assert.equal(answer.headers()["content-type"], "application/pdf");
  assert.ok((await answer.body()).subarray(0, 5).toString() === "%PDF-");
});
