// Where to count: places drawn and written, sheets and summary printed, and the stop rule's answer while counts come in.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { atTheDesk, axe, fits, noFaults, VIEWS, vnu } from "./harness.mjs";

let at;
const came = [];

before(async () => {
  at = await atTheDesk(VIEWS[0]);
});
after(async () => {
  await vnu(came);
  await at?.close();
});

test("a number that cannot be read is told where it is typed", async () => {
  const { page } = at;
  await page.goto("/survey/design");
  await page.getByLabel("What for").selectOption({ label: "so many plots in all" });
  await page.getByLabel("Plots, or percent").fill("a few");
  await page.getByRole("button", { name: "Draw places" }).click();
  await page.getByText('The number of plots is "a few".').waitFor();
  assert.equal(await page.getByLabel("Plots, or percent").inputValue(), "a few");
});

test("places are drawn, written, printed and taken back", async () => {
  const { page } = at;
  await page.goto("/survey/design");
  await page.getByLabel("What for").selectOption({ label: "so many plots in all" });
  await page.getByLabel("Plots, or percent").fill("30");
  await page.getByRole("button", { name: "Draw places" }).click();
  await page.getByRole("heading", { name: "Places drawn" }).waitFor();
  came.push({ name: "places drawn", html: await page.content() });
  for (const view of VIEWS) {
    const other = await at.visit.page(view);
    await other.goto(page.url().replace(/^.*?\/survey/, "/survey"));
    await axe(other);
    await fits(other);
    noFaults(other);
    await other.close();
  }
  const gpx = await page.request.get(await page.getByRole("link", { name: "For a GPS (GPX)" }).getAttribute("href"));
  assert.ok((await gpx.text()).match(/<wpt /g).length >= 30);
  await page.getByRole("button", { name: "Write these plots into the programme" }).click();
  await page.getByText("30 plots wait for a count").waitFor();
  for (const paper of ["/papers/survey-sheets", "/papers/survey-summary"]) {
    const pdf = await page.request.get(paper);
    assert.equal(pdf.status(), 200);
    assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-");
  }
  await page.getByRole("button", { name: /^Undo/ }).first().click();
  await page.goto("/survey/design");
  await page.getByText("Every plot has its count of this season.").waitFor();
});

test("the stop rule answers after each plot", async () => {
  const { page } = at;
  await page.goto("/survey/blocks/A07");
  const open = page.getByRole("button", { name: "Open it again" });
  if (await open.isVisible()) await open.click();
  await page.getByRole("heading", { name: "Stop or go on" }).waitFor();
  await page.getByText(/^Go on, about \d+ more\.$/).waitFor();
  for (let n = 0; n < 4; n++) {
    await page.getByLabel("Size with unit").fill("18.6183 ft");
    await page.getByRole("button", { name: "Add the plot" }).click();
    await page.getByText("not counted yet").waitFor();
    const plot = await page.locator("tr", { hasText: "not counted yet" }).locator("th").evaluate((th) => th.firstChild.textContent.trim());
    await page.getByLabel("Plot", { exact: true }).selectOption(plot);
    await page.locator("#v-who").fill("R. Ames");
    await page.locator("#v-new").fill("30");
    await page.locator("#v-old").fill("0");
    await page.locator("#v-out").fill("0");
    await page.getByRole("button", { name: "Add the count" }).click();
    await page.getByText("not counted yet").waitFor({ state: "detached" });
  }
  // 3 masses on the first plot, 30 on each of four more: 123 on 5, over the 46 that stop with "above".
  await page.getByText(/^Stop: above/).waitFor();
  came.push({ name: "stopped", html: await page.content() });
  await axe(page);
});
