// The map that moves: what it draws, how it is worked, and what stands in for it.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { atTheDesk, frameTimes, mapReady, noFaults, noForeignRequests, panMap, plainBrowser, serve, session, VIEWS } from "./harness.mjs";

let desk, page, close;

before(async () => {
  ({ desk, page, close } = await atTheDesk(VIEWS[0]));
});
after(() => close?.());

const canvas = () => page.locator(".cm-stage canvas");

/** The share of the map's picture that is of a colour, by its red, green and blue. */
async function shareOf(colours) {
  const picture = (await page.locator(".cm-stage").screenshot()).toString("base64");
  return page.evaluate(async ([data, wanted]) => {
    const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
    const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
    const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
    pen.drawImage(bitmap, 0, 0);
    const { data: dots } = pen.getImageData(0, 0, bitmap.width, bitmap.height);
    const hits = wanted.map(() => 0);
    for (let i = 0; i < dots.length; i += 4) {
      const at = wanted.findIndex((c) => c.every((part, k) => Math.abs(part - dots[i + k]) <= 2));
      if (at >= 0) hits[at] += 1;
    }
    return hits.map((n) => (4 * n) / dots.length);
  }, [picture, colours]);
}

test("the blocks are drawn in the colours of the legend", async () => {
  await page.goto("/survey?show=exceed");
  await mapReady(page);
  const rows = await page.locator(".cm-legend li").filter({ hasText: "chance" }).all();
  const legend = await Promise.all(rows.map(async (row) => ({
    blocks: Number(/(\d+) blocks?/.exec(await row.innerText())?.[1] ?? 0),
    colour: await row.locator("canvas").evaluate((swatch) => [...swatch.getContext("2d").getImageData(2, 2, 1, 1).data].slice(0, 3)),
  })));
  assert.equal(legend.length, 6);
  assert.equal(legend.reduce((sum, { blocks }) => sum + blocks, 0), 187, "every block is in one class");
  const shares = await shareOf(legend.map(({ colour }) => colour));
  legend.forEach(({ blocks }, at) => {
    if (blocks >= 10) assert.ok(shares[at] > 0.004, `${blocks} blocks of class ${at} cover ${shares[at]} of the map`);
  });
});

test("the slider moves the line without asking the server", async () => {
  const about = page.locator(".cm-about");
  const [before, legend] = [await about.innerText(), await page.locator(".cm-legend").innerText()];
  page.asked = [];
  await page.locator("#over").focus();
  for (let i = 0; i < 10; i += 1) await page.keyboard.press("ArrowRight");
  const over = Number(await page.locator("#over").inputValue());
  assert.ok(over > 250);
  assert.notEqual(await about.innerText(), before);
  assert.ok((await about.innerText()).includes(`more than ${over.toLocaleString("en-US")} `));
  assert.notEqual(await page.locator(".cm-legend").innerText(), legend);
  assert.equal(await page.locator("output[for=over]").innerText(), over.toLocaleString("en-US"));
  assert.deepEqual(page.asked, []);
});

test("a block is chosen by Page Down and opened by Enter", async () => {
  await canvas().focus();
  await page.keyboard.press("PageDown");
  await page.keyboard.press("PageDown");
  const id = await page.locator(".cm-card b").innerText();
  assert.equal(id, "A02");
  assert.match(await page.locator(".cm-live").innerText(), new RegExp(`^Block ${id}\\.`), "it is read out");
  await page.keyboard.press("Enter");
  await page.waitForURL(`**/survey/blocks/${id}`);
  await page.goBack();
  assert.match(page.url(), /show=exceed/);
});

test("the pointer finds blocks, and a second click opens one", async () => {
  await page.goto("/plan/areas");
  await page.goto("/survey");
  await mapReady(page);
  const box = await canvas().boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.locator(".cm-card b").waitFor();
  const id = await page.locator(".cm-card b").innerText();
  await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  await page.locator(`.cm-card a`, { hasText: `Open block ${id}` }).click();
  await page.waitForURL(`**/survey/blocks/${id}`);
});

const areas = () => page.locator("table").first().locator("tbody tr");

/** Waits until a shape is saved, and looks for it in the table. */
async function saved(before, act) {
  await page.locator(".cm-fields select").selectOption("apiary");
  const came = page.waitForResponse("**/plan/areas");
  await act();
  assert.equal((await came).status(), 200);
  await page.locator(".said").waitFor();
  assert.equal(await areas().count(), before + 1);
  const kinds = await areas().locator("select").evaluateAll((all) => all.map((s) => s.value));
  assert.ok(kinds.includes("apiary"));
}

test("a no-spray area is drawn by pointer, saved, and taken back", async () => {
  await page.goto("/plan/areas");
  await mapReady(page);
  const before = await areas().count();
  await page.getByRole("button", { name: "Draw a no-spray area" }).click();
  const { x, y, width, height } = await canvas().boundingBox();
  const corners = [[0.3, 0.3], [0.5, 0.3], [0.4, 0.5], [0.3, 0.3]];
  for (const [right, down] of corners) {
    await page.mouse.move(x + right * width, y + down * height, { steps: 4 });
    await page.mouse.click(x + right * width, y + down * height);
  }
  await page.locator(".cm-say", { hasText: "The shape is closed" }).waitFor();
  await saved(before, () => page.getByRole("button", { name: "Save", exact: true }).click());
  await page.getByRole("button", { name: "Undo" }).click();
  await page.locator(".said", { hasText: "Taken back" }).waitFor();
  assert.equal(await areas().count(), before);
});

test("a no-spray area is drawn by keyboard and saved", async () => {
  await page.goto("/plan/areas");
  await mapReady(page);
  const before = await areas().count();
  await page.getByRole("button", { name: "Draw a no-spray area" }).focus();
  await page.keyboard.press("Enter");
  const says = (text) => page.locator(".cm-say", { hasText: text }).waitFor();
  await page.keyboard.press("Space");
  await says("Corner 1 set");
  await page.keyboard.press("Space");
  await says("There is a corner under the cross already");
  // A corner asked for while the map glides is set where it comes to rest.
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Space");
  await says("Corner 2 set");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Space");
  await says("Corner 3 set");
  await page.keyboard.press("Enter");
  await page.locator(".cm-say", { hasText: "The shape is closed" }).waitFor();
  await saved(before, async () => {
    await page.getByRole("button", { name: "Save", exact: true }).focus();
    await page.keyboard.press("Enter");
  });
});

test("the map moves with twelve thousand trees on it", async (t) => {
  await page.goto("/survey");
  await mapReady(page);
  await canvas().focus();
  for (let i = 0; i < 2; i += 1) {
    await page.keyboard.press("Equal");
    await page.waitForTimeout(700);
  }
  const times = await frameTimes(page, () => panMap(page, 2));
  const shown = (v) => v.toFixed(1);
  t.diagnostic(`${times.frames} frames in 2 s; ms between them: median ${shown(times.median)}, p95 ${shown(times.p95)}, longest ${shown(times.longest)}`);
  assert.ok(times.frames > 2, `${times.frames} frames`);
});

test("nothing went wrong or elsewhere on the way", () => {
  noFaults(page);
  noForeignRequests(page);
});

test("without WebGL the still picture stays", async () => {
  const plain = await plainBrowser();
  const guest = await session(plain, { url: await desk.link() });
  const still = await guest.page(VIEWS[0]);
  await still.goto("/plan");
  await still.getByLabel("Keep it as").fill("still");
  await still.getByRole("button", { name: "Make the plan" }).click();
  await still.waitForURL(/\/plan\?plan=/);
  await still.getByText("This browser cannot draw the moving map").waitFor();
  assert.ok(await still.locator("crown-map svg").isVisible());
  assert.equal(await still.locator("crown-map[data-ready]").count(), 0);
  assert.equal(await still.locator("crown-map canvas").count(), 0);
  noFaults(still);
  await guest.close();
  await plain.close();
});
