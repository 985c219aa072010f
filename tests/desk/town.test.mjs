// The public page: closed until it is opened; somebody from the town finds their street and tells what they saw.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axe, browser, fits, noFaults, noForeignRequests, serve, session, stranger, VIEWS, vnu } from "./harness.mjs";

const [WIDE, , NARROW] = VIEWS;
const LANGUAGES = [
  { code: "en", find: "Find", send: "Send", thanks: /Thank you/, scrape: "Scrape off egg masses" },
  { code: "es", find: "Buscar", send: "Enviar", thanks: /Gracias/, scrape: "Raspe las masas de huevos" },
  { code: "fr", find: "Chercher", send: "Envoyer", thanks: /Merci/, scrape: "Grattez les masses" },
];

let desk, chromium, visit, manager;
/** Every page as it came, for the judge of HTML. */
const came = [];

before(async () => {
  desk = await serve("--on", "2027-01-15");
  chromium = await browser();
  visit = await session(chromium, desk);
  manager = await visit.page(WIDE);
});
after(async () => {
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

/** Somebody who never came in by a link, on a page of the town. */
async function resident(view, path, use) {
  const { page, close } = await stranger(chromium, view);
  try {
    await page.goto(visit.home + path);
    await use(page);
  } finally {
    await close();
  }
}

/** Opens the public page as the manager. */
async function open() {
  await manager.goto("/programme/public");
  await manager.getByLabel("Show the page to everybody").check();
  await manager.getByLabel("Whom residents can ask").fill("Pellwood forestry office, 555-0100");
  await manager.getByRole("button", { name: "Save" }).click();
  await manager.getByText("The public page is open.").waitFor();
}

test("closed until the manager opens it", async () => {
  await resident(WIDE, "/town/en", async (page) => {
    assert.match(await page.locator("h1").textContent(), /no public page/);
  });
  await open();
  await resident(WIDE, "/town", async (page) => {
    assert.match(await page.locator("h1").textContent(), /Spongy moth in Pellwood/);
    assert.equal((await page.context().cookies()).length, 0, "no cookie is set");
  });
});

for (const l of LANGUAGES) {
  test(`a street is found and a report sent by keyboard, ${l.code}`, async () => {
    await open();
    await resident({ ...NARROW, javaScriptEnabled: false }, `/town/${l.code}`, async (page) => {
      assert.equal(await page.locator("html").getAttribute("lang"), l.code);
      await page.getByRole("searchbox").focus();
      await page.keyboard.type("312 ferry street");
      await page.keyboard.press("Enter");
      const link = page.getByRole("link", { name: /301-399 Ferry Street/ }).first();
      await link.focus();
      await page.keyboard.press("Enter");
      await page.getByText(l.scrape).waitFor();
      assert.match(page.url(), /blocks\/F03\?/);
      await page.locator(".button").first().focus();
      await page.keyboard.press("Enter");
      await page.getByRole("radio").first().focus();
      await page.keyboard.press("Space");
      await page.getByRole("button", { name: l.send }).focus();
      await page.keyboard.press("Enter");
      await page.getByText(l.thanks).waitFor();
    });
    await manager.goto("/programme/public");
    assert.match(await manager.locator("tbody tr").first().textContent(), /egg masses.*Ferry Street.*F03/s);
  });

  test(`every page of the town in ${l.code}: axe, size, no script, nothing from elsewhere`, async () => {
    await open();
    for (const view of VIEWS) {
      for (const path of ["", "?q=ferry", "?q=nowhere", "/blocks/A07", "/report"]) {
        await resident(view, `/town/${l.code}${path}`, async (page) => {
          await axe(page);
          await fits(page);
          noFaults(page);
          noForeignRequests(page);
          assert.equal(await page.locator("script").count(), 0);
          if (view === WIDE) came.push({ name: `${l.code}${path}`, html: await page.content() });
        });
      }
    }
  });
}

test("a report that is not whole says what is wrong, and keeps what was typed", async () => {
  await open();
  const body = new URLSearchParams({ what: "bears", where: "x", when: "2099-01-01", note: "kept" });
  const headers = { Origin: visit.home, "Content-Type": "application/x-www-form-urlencoded" };
  const answer = await fetch(`${visit.home}/town/en/report`, { method: "POST", body, headers });
  assert.equal(answer.status, 422);
  const html = await answer.text();
  for (const words of ["Choose one from the list", "Say where", "not in the future", "kept"]) assert.ok(html.includes(words), words);
  came.push({ name: "wrong report", html });
  const elsewhere = await fetch(`${visit.home}/town/en/report`, { method: "POST", body, headers: { ...headers, Origin: "http://elsewhere.example" } });
  assert.equal(elsewhere.status, 403, "other pages send nothing in");
});

test("too many reports are turned away, and nothing more is kept", async () => {
  await open();
  const body = new URLSearchParams({ what: "moths", where: "12 Ferry Street", when: "2027-01-10" });
  const headers = { Origin: visit.home, "Content-Type": "application/x-www-form-urlencoded" };
  const statuses = [];
  for (let i = 0; i < 8; i += 1) {
    statuses.push((await fetch(`${visit.home}/town/fr/report`, { method: "POST", body, headers })).status);
  }
  assert.equal(statuses.at(-1), 429, String(statuses));
  await manager.goto("/programme/public");
  assert.ok((await manager.locator("tbody tr").count()) <= 6);
});

test("streets come in by a table; a wrong one changes nothing", async () => {
  await manager.goto("/programme/public");
  const file = (text) => ({ name: "streets.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
  await manager.getByLabel("Table of streets").setInputFiles(file("street,block\nMain Street,Z99\n"));
  await manager.getByRole("button", { name: "Bring in" }).click();
  await manager.getByText("Z99").waitFor();
  assert.match(await manager.locator("section[aria-labelledby=streets]").textContent(), /\d{3} stretches of street are known/);
  await manager.getByLabel("Table of streets").setInputFiles(file("street,block\nMain Street,A07\n"));
  await manager.getByRole("button", { name: "Bring in" }).click();
  await manager.getByText("1 stretch of street taken.").waitFor();
});

test("the chosen plan is shown, and only that", async () => {
  await open();
  await resident(WIDE, "/town/en/blocks/A07", async (page) => {
    await page.getByText("Nothing has been decided for this page yet.").waitFor();
  });
  await manager.goto("/plan");
  await manager.getByLabel("Keep it as").fill("voted");
  await manager.getByRole("button", { name: "Make the plan" }).click();
  await manager.waitForURL(/\/plan(\/compare)?\?/);
  await manager.goto("/programme/public");
  await manager.getByLabel("Plan that it shows").selectOption({ label: "voted" });
  await manager.getByRole("button", { name: "Save" }).click();
  await resident(NARROW, "/town/en/blocks/A07", async (page) => {
    assert.equal(await page.getByText("Nothing has been decided").count(), 0);
    await axe(page);
    came.push({ name: "planned", html: await page.content() });
  });
});

test("valid HTML", async () => {
  await manager.goto("/programme/public");
  came.push({ name: "manager's page", html: await manager.content() });
  await axe(manager);
  await vnu(came);
});
