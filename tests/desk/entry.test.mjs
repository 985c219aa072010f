// The entry page, as a newcomer meets it: in every size and theme it is valid, reachable and quiet.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axe, browser, noFaults, noForeignRequests, serve, session, VIEWS, vnu } from "./harness.mjs";

let desk, chromium, visit;

before(async () => {
  desk = await serve();
  chromium = await browser();
  visit = await session(chromium, desk);
});
after(async () => {
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

for (const view of VIEWS) {
  test(`the entry page at ${view.name}`, async () => {
    const page = await visit.page(view);
    await page.goto("/");
    await page.waitForLoadState("load");
    assert.equal(await page.locator("h1").count(), 1);
    const { wide, room } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      room: document.documentElement.clientWidth,
    }));
    assert.ok(wide <= room, `the page is ${wide} px wide in ${room} px`);
    await axe(page);
    noForeignRequests(page);
    noFaults(page);
  });
}

test("the entry page is valid HTML", async () => {
  const page = await visit.page(VIEWS[0]);
  const answer = await page.goto("/");
  await vnu([{ name: "entry page", html: await answer.text() }]);
});
