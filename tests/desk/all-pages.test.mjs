// Named to begin first: it takes longest, and the others run beside it.
// Every page, in every size and theme: it answers, is valid, reachable, quiet, and fits.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axe, browser, fits, mapReady, noFaults, noForeignRequests, serve, session, stranger, VIEWS, vnu } from "./harness.mjs";

const [WIDE, , NARROW] = VIEWS;
const BEFORE_A_PLAN = ["/", "/plan", "/field", "/papers"];
const WITH_A_PLAN = [
  "/",
  "/survey",
  "/survey?show=exceed",
  "/survey/counts",
  "/survey/counts?block=A07",
  "/survey/blocks/A07",
  "/survey/design",
  "/survey/design?aim=plots&number=60",
  "/survey/visits/V007",
  "/timing",
  "/timing/spray-weather",
  "/timing/spray-weather?by=ground",
  "/timing/hindcast",
  "/outlook",
  "/evidence",
  "/plan",
  "/plan/blocks/A07",
  "/plan/compare",
  "/plan/areas",
  "/plan/frontier",
  "/plan/worth",
  "/plan/stress",
  "/plan/reserve",
  "/survey/recount",
  "/survey?show=fine",
  "/field",
  "/field/bands",
  "/field/scraping",
  "/field/applications",
  "/field/notices",
  "/papers",
  "/why/P-cost",
  "/programme",
  "/programme/people",
  "/programme/parameters",
  "/programme/parameters?edit=aerial.price",
  "/programme/public",
  "/programme/species",
  "/programme/species?name=Katsura",
  "/programme/import",
  "/programme/import/blocks",
  "/programme/import/weather",
  "/programme/history",
  "/programme/backup",
];

let desk, chromium, visit, wide, narrow;
/** Every page as it came, for the judge of HTML. */
const came = [];

before(async () => {
  desk = await serve("--on", "2027-03-01");
  chromium = await browser();
  visit = await session(chromium, desk);
  [wide, narrow] = [await visit.page(WIDE), await visit.page(NARROW)];
});
after(async () => {
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

/** Opens a page and looks at it in both themes. */
async function look(page, path, status) {
  [page.asked, page.faults] = [[], []];
  const answer = await page.goto(path);
  assert.equal(answer.status(), status, path);
  if (await page.locator("crown-map").count()) await mapReady(page);
  assert.equal(await page.locator("h1").count(), 1, `${path}: h1`);
  await fits(page);
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    await axe(page);
  }
  noForeignRequests(page);
  noFaults(page);
  return answer;
}

/** The tests of one page. */
function walk(path, { status = 200, when = "" } = {}) {
  test(`${path}${when}`, async () => {
    const answer = await look(wide, path, status);
    came.push({ name: path, html: await answer.text() });
    await look(narrow, path, status);
  });
}

for (const path of BEFORE_A_PLAN) walk(path, { when: " before there is a plan" });
walk("/plan/blocks/A07", { status: 404, when: " before there is a plan" });
walk("/plan/compare", { status: 404, when: " before there are two plans" });
walk("/no-such-page", { status: 404 });

test("the closed door", async () => {
  const { page, close } = await stranger(chromium, WIDE);
  const answer = await look(page, `${visit.home}/survey`, 401);
  came.push({ name: "the closed door", html: await answer.text() });
  await page.setViewportSize(NARROW);
  await fits(page);
  await axe(page);
  await close();
});

// Two of them, for comparing. The page of the work shows how far it is by coming anew.
for (const name of ["first plan", "less money"]) {
  test(`"${name}" is made without any script`, async () => {
    const page = await visit.page({ ...WIDE, javaScriptEnabled: false });
    await page.goto("/plan");
    await page.getByLabel("Keep it as").fill(name);
    if (name === "less money") await page.getByLabel("Money, $").fill("60000");
    await page.getByRole("button", { name: "Make the plan" }).click();
    await page.waitForURL(/\/plan(\/compare)?\?/);
    assert.match(await page.locator("main").innerText(), new RegExp(name));
    await page.close();
  });
}

for (const path of WITH_A_PLAN) walk(path);

test("all of it is valid HTML", () => vnu(came));

test("no link of any page leads nowhere", async () => {
  const links = came.flatMap(({ html }) => [...html.replaceAll("&#38;", "&amp;").matchAll(/ href="(\/[^"#{]*)(?=["#])/g)].map(([, href]) => href.replaceAll("&amp;", "&")));
  // One link of each kind: all blocks are one page.
  const kinds = new Map(links.map((href) => [href.replace(/[A-Z]+\d+/g, "ID").replace(/=\d+/g, "=N"), href]));
  // One after the other: all papers at once keep two cores busy longer than a request waits.
  const answers = [];
  for (const href of kinds.values()) answers.push([href, (await wide.request.get(href, { timeout: 120_000 })).status()]);
  assert.deepEqual(answers.filter(([, status]) => status !== 200), []);
});

test("an address that cannot be read is answered by a page in words", async () => {
  const page = await visit.page(WIDE);
  const answer = await page.goto("/plan?plan=abc");
  assert.equal(answer.status(), 400);
  assert.match(await page.locator("main").innerText(), /not understood.*Check the address/s);
  await axe(page);
  await page.close();
});
