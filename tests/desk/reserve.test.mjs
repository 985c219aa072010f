// What is kept back for spring: tried with few springs, looked at, and February's plan of one way kept.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axe, browser, command, fits, noFaults, servePrepared, session, VIEWS, vnu } from "./harness.mjs";

let desk, host, visit;

before(async () => {
  desk = await servePrepared(async (file) => {
    for (const name of ["reserve.springs", "reserve.foreseen"]) await command("parameters", file, "--set", `${name}=4`, "--source", "a quick test");
  }, "--on", "2027-03-01");
  host = await browser();
  visit = await session(host, desk);
});
after(async () => {
  await visit?.close();
  await host?.close();
  await desk?.stop();
});

test("ways to plan tried, seen in every size, and a plan kept", async () => {
  const page = await visit.page(VIEWS[0]);
  await page.goto("/plan/reserve");
  await page.getByRole("button", { name: "Try it" }).click();
  await page.waitForURL(/\/plan\/reserve$/, { timeout: 300_000 });
  await page.getByRole("button", { name: "Keep this plan 7", exact: true }).waitFor();
  for (const view of VIEWS) {
    const other = await visit.page(view);
    await other.goto("/plan/reserve");
    await axe(other);
    await fits(other);
    noFaults(other);
    if (process.env.SHOTS) await other.screenshot({ path: `${process.env.SHOTS}/reserve ${view.name}.png`, fullPage: true });
  }
  await vnu([{ name: "reserve", html: await page.content() }]);
  await page.getByRole("button", { name: "Keep this plan 7", exact: true }).click();
  await page.waitForURL(/\/plan\?plan=\d+/);
  assert.match(await page.locator("main").textContent(), /February planned for that/);
});
