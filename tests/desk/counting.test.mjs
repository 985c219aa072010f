// Where to count: places drawn and written, sheets and summary printed, and the stop rule's answer while counts come in.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { atTheDesk, axe, fits, mapReady, noFaults, VIEWS, vnu } from "./harness.mjs";

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

test("places keep off a layer that is sent, and a layer without outlines is told", async () => {
  const { page } = at;
  const squares = await (await page.request.get("/map/squares.json")).json();
  const [west, east] = [Math.min(...squares.lon) - 0.01, squares.lon.toSorted((a, b) => a - b)[squares.lon.length >> 1]];
  const [south, north] = [Math.min(...squares.lat) - 0.01, Math.max(...squares.lat) + 0.01];
  const ring = [[west, south], [east, south], [east, north], [west, north], [west, south]];
  const layer = (geometry) =>
    Buffer.from(JSON.stringify({ type: "FeatureCollection", features: [{ type: "Feature", properties: {}, geometry }] }));
  const send = async (name, geometry) => {
    await page.getByLabel("Layer of outlines").setInputFiles({ name, mimeType: "application/json", buffer: layer(geometry) });
    await page.getByRole("button", { name: "Keep off these" }).click();
  };
  await page.goto("/survey/design?aim=plots&number=40");
  await page.getByText("Keep off buildings and land without access").click();
  await send("points.geojson", { type: "Point", coordinates: [east, north] });
  await page.getByText("The layer has points where areas (polygons) are needed").waitFor();
  await page.getByText("Keep off buildings and land without access").click();
  await send("west.geojson", { type: "Polygon", coordinates: [ring] });
  await page.getByText("Kept off beside water: the 1 outline of west.geojson.").waitFor();
  await page.getByRole("heading", { name: "Places drawn" }).waitFor();
  came.push({ name: "places kept off", html: await page.content() });
  await axe(page);
  const gpx = await page.request.get(await page.getByRole("link", { name: "For a GPS (GPX)" }).getAttribute("href"));
  const longitudes = [...(await gpx.text()).matchAll(/lon="([-\d.]+)"/g)].map((m) => Number(m[1]));
  assert.ok(longitudes.length > 15 && longitudes.every((lon) => lon > east), `${Math.min(...longitudes)} ${east}`);
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

test("the stop rule follows what is typed in the grid, and nothing is saved by that", async () => {
  const { page } = at;
  await page.goto("/survey/counts?block=B05");
  const told = page.locator("output[data-stop-advice]");
  assert.equal(await told.textContent(), "");
  const cell = page.locator('input[name^="new:"]').first();
  await cell.fill("0");
  await page.getByText(/^B05: (stop|go on)/).waitFor();
  const few = await told.textContent();
  await cell.fill("400");
  await page.waitForFunction((before) => document.querySelector("output[data-stop-advice]").textContent !== before, few);
  assert.match(await told.textContent(), /B05: .*40\d masses/);
  await cell.fill("many");
  await page.waitForFunction(() => document.querySelector("output[data-stop-advice]").textContent === "");
  await cell.fill("");
  const history = await (await page.request.get("/programme/history")).text();
  assert.doesNotMatch(history, /B05/);
  for (const view of VIEWS) {
    const other = await at.visit.page(view);
    await other.goto("/survey/counts?block=B05");
    await other.locator('input[name^="new:"]').first().fill("7");
    await other.getByText(/^B05: /).waitFor();
    await axe(other);
    await fits(other);
    await other.locator('input[name^="new:"]').first().fill("");
    await other.close();
  }
});

test("a recount is told where it is wrong, and is used from then on", async () => {
  const { page } = at;
  await page.goto("/survey/recount");
  await page.getByLabel("Found by the second person").fill("forty");
  await page.getByLabel("Of these, with a mark").fill("34");
  await page.getByRole("button", { name: "Use it from now on" }).first().click();
  await page.getByText('Found by the second person: "forty".').waitFor();
  assert.equal(await page.getByLabel("Of these, with a mark").inputValue(), "34");
  await page.getByLabel("Found by the second person").fill("40");
  await page.getByRole("button", { name: "Use it from now on" }).first().click();
  await page.getByText("85 % (74 % to 92 %)").waitFor();
  await page.getByText("marked recount: 34 of 40 masses bore a mark").waitFor();
  came.push({ name: "recount", html: await page.content() });
  await page.getByRole("button", { name: /^Undo/ }).first().click();
  await page.goto("/survey/recount");
  await page.getByText("In use: 100 %.").waitFor();
});

test("between the plots the map shows squares with their tones and how sure they are", async () => {
  const { page } = at;
  await page.goto("/survey?show=fine");
  await mapReady(page);
  await page.getByText(/square by square/).waitFor();
  await page.getByText("Large dot: narrow range").waitFor();
  const squares = await (await page.request.get("/map/squares.json")).json();
  assert.ok(squares.lon.length > 1000 && squares.lon.length === squares.high.length);
  assert.ok(squares.low.every((low, i) => low <= squares.middle[i] && squares.middle[i] <= squares.high[i]));
  const notes = await page.locator(".cm-legend li span").filter({ hasText: /^[\d,]+ squares?$/ }).allTextContents();
  const counted = notes.reduce((sum, note) => sum + Number(note.replace(/\D/g, "")), 0);
  assert.equal(counted, squares.lon.length);
  await page.getByRole("link", { name: "How many" }).click();
  await mapReady(page);
  await page.getByText(/^Estimated new egg masses/).waitFor();
});
