// Somebody who has never seen the desk: comes by the link, learns what the season needs, makes the first plan and
// asks why.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";

import { browser, fits, noFaults, noForeignRequests, serve, stranger, VIEWS } from "./harness.mjs";

const chromium = await browser();
after(() => chromium.close());

for (const view of [VIEWS[0], VIEWS[3]]) {
  describe(`a newcomer at ${view.name}`, () => walk(view));
}

function walk(view) {
  let desk, guest, page;
  before(async () => {
    desk = await serve("--on", "2027-03-01");
    guest = await stranger(chromium, view);
    page = guest.page;
  });
  after(async () => {
    await guest?.close();
    await desk?.stop();
  });

  test("comes by the link and finds this week", async () => {
    await page.goto(desk.url);
    assert.equal(new URL(page.url()).pathname, "/");
    assert.equal(await page.locator("h1").innerText(), "This week");
    assert.match(await page.locator("p.lead").innerText(), /Hatch begins about .+ weeks? from now/);
    const rings = page.locator("figure.ring svg");
    // They are drawn after the words are there to be read.
    await rings.first().waitFor({ state: "attached" });
    const seen = await Promise.all((await rings.all()).map((ring) => ring.isVisible()));
    assert.deepEqual(seen.toSorted(), [false, true], "one of the two drawings of the year is shown");
  });

  test("the link lets nobody else in, and the terminal gives another", async () => {
    const second = await stranger(chromium, view);
    const answer = await second.page.goto(desk.url);
    assert.equal(answer.status(), 401);
    assert.match(await second.page.locator("h1").innerText(), /opens by its own link/);
    assert.equal((await second.page.goto(new URL("/survey", desk.url).href)).status(), 401);
    await second.page.goto(await desk.link());
    assert.equal(await second.page.locator("h1").innerText(), "This week");
    await second.close();
  });

  test("learns what is next, who does it and where", async () => {
    const tasks = page.locator("ol.tasks > li");
    const heads = await tasks.locator("h3").allInnerTexts();
    assert.ok(heads.includes("Make the season plan"), heads.join(", "));
    for (const task of await tasks.all()) {
      const line = await task.innerText();
      assert.match(line, /manager|technicians|crew|volunteers|contractor/, `who: ${line}`);
      assert.notEqual(await task.locator(".when").innerText(), "", `when: ${line}`);
      assert.ok(await task.locator("a").first().isVisible(), `where: ${line}`);
    }
    const close = tasks.filter({ hasText: "Close the count" });
    assert.match(await close.innerText(), /\d+ blocks?/, "what it needs");
    await fits(page);
  });

  test("makes the first plan and watches it being made", async () => {
    await page.locator("ol.tasks > li").filter({ hasText: "Make the season plan" }).getByRole("link").click();
    await page.getByRole("heading", { name: "No plan has been made yet" }).waitFor();
    await page.getByLabel("Keep it as").fill("spring");
    const told = [];
    await page.exposeFunction("note", (text) => told.push(text));
    await page.evaluate(() => {
      const note = () => globalThis.note(document.querySelector(".solve [role=status]")?.textContent ?? "");
      new MutationObserver(note).observe(document.querySelector("main"), { childList: true, subtree: true, characterData: true });
    });
    await page.getByRole("button", { name: "Make the plan" }).click();
    await page.locator(".solve progress").waitFor();
    await page.waitForURL(/\/plan\?plan=\d+$/);
    const phases = new Set(told.filter(Boolean));
    assert.ok(phases.size >= 3, `the phases shown: ${[...phases].join(", ")}`);
    assert.match(await page.locator("p.lead").innerText(), /\d+ of \d+ blocks are treated/);
    assert.match(await page.locator("main").innerText(), /Plan “spring”/);
    assert.ok((await page.locator("dl.figures dd").count()) >= 5);
    await fits(page);
  });

  test("opens a block's card", async () => {
    await page.locator("#treated tbody a").first().click();
    await page.waitForURL(/\/plan\/blocks\//);
    const chosen = (await page.locator("#chosen").innerText()).trim();
    assert.ok((await page.locator("section.panel p").first().innerText()).length > 20, "it says why");
    const row = page.locator("tr.chosen");
    assert.equal(await row.count(), 1);
    assert.ok((await row.innerText()).includes(chosen.split("\n").at(-1)), `${chosen} is the row marked as chosen`);
    await fits(page);
  });

  test("asks why of a figure and gets back", async () => {
    const card = page.url();
    const figure = page.locator("dl.facts a.why").last();
    const shown = await figure.innerText();
    await figure.click();
    await page.waitForURL(/\/why\//);
    assert.equal(await page.locator("dl.figures dd").innerText(), shown, "the figure asked about");
    const main = await page.locator("main").innerText();
    assert.match(main, /How it is made/);
    assert.match(main, /draws, seed \d/);
    assert.ok((await page.locator("tbody tr").count()) > 0, "constants with their sources");
    await fits(page);
    await page.goBack();
    assert.equal(page.url(), card);
  });

  test("nothing went wrong or elsewhere on the way", () => {
    noFaults(page);
    noForeignRequests(page);
  });
}
