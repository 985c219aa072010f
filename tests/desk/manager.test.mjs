// The manager at work, by keyboard alone: counts, a mistake and its correction, undo, a decision, a stop.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { atTheDesk, noFaults, VIEWS } from "./harness.mjs";

let desk, visit, page, close;

before(async () => {
  ({ desk, visit, page, close } = await atTheDesk(VIEWS[0]));
});
after(() => close?.());

const press = (...keys) => keys.reduce((done, key) => done.then(() => page.keyboard.press(key)), Promise.resolve());
const type = (text) => page.keyboard.type(text);
const hasFocus = (place) => place.evaluate((it) => it === document.activeElement);

/** Presses Tab until a place has the focus, as somebody without a mouse must. */
async function tabTo(place, { most = 150, key = "Tab" } = {}) {
  await place.waitFor();
  for (let step = 0; step < most; step += 1) {
    if (await hasFocus(place)) return;
    await press(key);
  }
  assert.fail(`${place} is not reached by ${most} presses of ${key}`);
}

/** Presses Enter and waits for the page that comes. */
async function enter(address) {
  const came = page.waitForURL(address, { waitUntil: "load" });
  await press("Enter");
  await came;
}

const button = (name) => page.getByRole("main").getByRole("button", { name });
const notice = () => page.locator(".said p").innerText();

const plot = () => page.locator("tr", { hasText: "P900" });

test("the first stop of the Tab key leads past the menu", async () => {
  await page.goto("/");
  await press("Tab");
  assert.ok(await hasFocus(page.getByRole("link", { name: "Skip to the page" })));
  await press("Enter");
  await press("Tab");
  assert.ok(await page.evaluate(() => document.querySelector("main").contains(document.activeElement)));
});

test("adds a plot to a block", async () => {
  await page.goto("/survey/blocks/A07");
  await tabTo(page.getByLabel("Number"));
  await type("P900");
  await press("Tab", "Tab");
  await type("18.6 ft");
  await enter("**/survey/blocks/A07");
  assert.match(await notice(), /P900/);
  assert.ok(await hasFocus(page.locator(".said")), "the line that says it has the focus");
  assert.match(await plot().innerText(), /not counted yet/);
});

test("a wrong count is said in its row, with what was typed kept", async () => {
  await page.goto("/survey/counts?block=A07");
  await tabTo(page.getByLabel("New on P900"));
  await type("x3");
  await press("ArrowRight");
  await type("1");
  await press("ArrowRight");
  await type("0");
  await press("ArrowRight");
  await type("by the gate");
  const answer = page.waitForResponse((r) => r.request().method() === "POST");
  await press("Control+s");
  assert.equal((await answer).status(), 422);
  await page.locator("p.wrong").waitFor();
  const wrong = page.getByLabel("New on P900");
  assert.match(await page.locator("tr", { has: wrong }).locator("p.wrong").innerText(), /"x3" is not a number of new masses/);
  assert.equal(await wrong.getAttribute("aria-invalid"), "true");
  for (const [label, kept] of [["New", "x3"], ["Old", "1"], ["Out of reach", "0"], ["Note", "by the gate"]]) {
    assert.equal(await page.getByLabel(`${label} on P900`).inputValue(), kept, label);
  }
  assert.equal(await page.getByLabel("Day").inputValue(), "2027-03-01");
  assert.ok(await hasFocus(wrong), "the wrong cell has the focus");
  noFaults(page);
  page.faults = [];
});

test("corrects it, and Enter leads to Save", async () => {
  await press("Control+a");
  await type("4");
  await press("Enter");
  assert.ok(await hasFocus(button("Save the counts")));
  await enter("**/survey/blocks/A07");
  assert.match(await notice(), /^Done: 1 visit added/);
  assert.deepEqual(await plot().locator("td.num").allInnerTexts(), ["4", "1", "0"]);
  assert.match(await plot().innerText(), /by the gate/);
});

test("takes it back", async () => {
  assert.ok(await hasFocus(page.locator(".said")));
  await press("Tab");
  assert.ok(await hasFocus(button("Undo")), "Undo is the next stop");
  const undone = page.waitForResponse("**/programme/undo");
  await press("Enter");
  assert.equal((await undone).status(), 303);
  await page.locator(".said", { hasText: "Taken back: 1 visit added" }).waitFor();
  assert.equal(new URL(page.url()).pathname, "/survey/blocks/A07");
  assert.match(await plot().innerText(), /not counted yet/);
});

test("the history tells all of it", async () => {
  await page.goto("/programme/history");
  const rows = await page.locator("tbody tr").allInnerTexts();
  assert.match(rows[0], /takes back/);
  assert.match(rows[1], /1 visit added\s+taken back/);
  assert.match(rows[2], /P900/);
});

test("makes a plan", async () => {
  await page.goto("/plan");
  await tabTo(page.getByLabel("Keep it as"));
  await type("as it is");
  await enter(/\/plan\?plan=/);
});

test("fixes a flown block as never flown and sees what that costs", async () => {
  const flown = page.locator("#treated tbody tr", { hasText: "aerial" }).first();
  const block = await flown.locator("a").innerText();
  await tabTo(flown.locator("a"));
  await enter(/\/plan\/blocks\//);
  await tabTo(page.locator("#rule"));
  await type("never");
  assert.equal(await page.locator("#rule").inputValue(), "never-fly");
  await press("Tab");
  await type("school yard");
  await press("Tab");
  assert.ok(await hasFocus(button("Fix and make the plan again")));
  await enter(/\/plan\/compare\?/);
  assert.match(await notice(), new RegExp(`${block}.*never fly`));
  assert.ok(await button("Undo").isVisible());
  const row = page.locator("tr", { has: page.getByRole("link", { name: block, exact: true }) });
  const [before, now] = await row.locator("td").allInnerTexts();
  assert.match(before, /aerial/);
  assert.doesNotMatch(now, /aerial/);
  assert.ok((await page.locator("table").first().locator("tbody tr").count()) >= 3, "totals of both plans");
  await page.goto(`/plan/blocks/${block}`);
  assert.match(await page.locator("main").innerText(), /Decided: never fly \(school yard\)/);
});

test("turns the desk dark, and it stays dark", async () => {
  const light = () => page.evaluate(() => {
    const [r, g, b] = getComputedStyle(document.documentElement).backgroundColor.match(/[\d.]+/g).map(Number);
    return (r + g + b) / 3;
  });
  const ground = await light();
  const turn = page.getByRole("button", { name: "Light or dark" });
  await tabTo(turn);
  await press("Enter");
  const dark = await light();
  assert.ok(dark < ground / 3, `${ground} became ${dark}`);
  await page.goto("/survey/counts");
  assert.equal(await light(), dark);
  await tabTo(turn);
  await press("Space");
  assert.equal(await light(), ground);
});

test("stops a plan that is being made; the best so far is kept", async () => {
  await page.goto("/plan");
  const before = await page.locator("#kept ~ .scroll tbody tr").count();
  await tabTo(page.getByLabel("Keep it as"));
  await type("stopped");
  const started = page.waitForResponse("**/plan/solve");
  const landed = page.waitForURL(/\/plan\/compare\?/);
  await press("Enter");
  const { stop } = await (await started).json();
  // It may be made before the key is pressed; then only the address is tried.
  const pressed = await tabTo(page.locator(".solve button"), { most: 20 }).then(() => press("Enter")).then(() => true, () => false);
  if (!pressed) assert.equal((await page.request.post(stop, { headers: { origin: visit.home }, maxRedirects: 0 })).status(), 303);
  await landed;
  await page.goto("/plan");
  assert.equal(await page.locator("#kept ~ .scroll tbody tr").count(), before + 1);
  assert.match(await page.locator("main").innerText(), /Plan “stopped”.*(Stopped early|No plan within the limits)/);
});

test("nothing went wrong on the way", () => noFaults(page));
