// Prints how fast the screens are with the invented city: node tests/desk/figures.mjs [COMMAND]. No test: figures
// belong to a machine. Times in milliseconds.

import { join, resolve } from "node:path";

const here = import.meta.dirname;
process.env.CROWNHOLD = resolve(process.argv[2] ?? join(here, "../../target/release/crownhold"));
const { browser, frameTimes, mapReady, panMap, plainBrowser, serve, session, VIEWS } = await import("./harness.mjs");

const TIMES = 5;
const PAGES = [
  "/",
  "/survey",
  "/survey?show=exceed",
  "/survey/counts?block=A07",
  "/survey/blocks/A07",
  "/timing",
  "/outlook",
  "/plan",
  "/plan/blocks/A07",
  "/plan/compare",
  "/plan/areas",
  "/field",
  "/evidence",
  "/papers",
  "/programme",
  "/programme/people",
  "/programme/parameters",
  "/programme/species",
  "/programme/import",
  "/programme/history",
  "/programme/backup",
  "/why/P-cost",
];

const median = (all) => all.toSorted((a, b) => a - b)[Math.floor(all.length / 2)];
const whole = (ms) => String(Math.round(ms)).padStart(6);

/** First contentful paint, and when the answer was there, since the navigation began. */
async function opened(page, path) {
  const answer = await page.goto(path, { waitUntil: "load" });
  const { painted, answered } = await page.evaluate(async () => {
    const paint = () => performance.getEntriesByName("first-contentful-paint")[0];
    while (!paint()) await new Promise(requestAnimationFrame);
    const { requestStart, responseEnd } = performance.getEntriesByType("navigation")[0];
    return { painted: paint().startTime, answered: responseEnd - requestStart };
  });
  return { status: answer.status(), painted, answered };
}

/** From the click on "Make the plan", on a page that is drawn, to the first paint of the page with the new plan. */
async function solved(page, name) {
  await page.goto("/plan");
  const drawn = page.locator("crown-map[data-ready]").or(page.getByText("This browser cannot draw the moving map"));
  if (await page.locator("crown-map").count()) await drawn.first().waitFor();
  await page.getByLabel("Keep it as").fill(name);
  const from = await page.evaluate(() => performance.timeOrigin + performance.now());
  await page.getByRole("button", { name: "Make the plan" }).click();
  await page.waitForURL(/\/plan(\/compare)?\?/, { timeout: 120_000 });
  const to = await page.evaluate(async () => {
    const paint = () => performance.getEntriesByName("first-contentful-paint")[0];
    while (!paint()) await new Promise(requestAnimationFrame);
    return performance.timeOrigin + paint().startTime;
  });
  return to - from;
}

async function plans(page) {
  const first = await solved(page, "first");
  const again = [];
  for (let i = 0; i < 3; i += 1) again.push(await solved(page, `again ${i + 1}`));
  console.log(`from the click to the new plan: first ${whole(first)}, again ${again.map(whole).join(",")}`);
}

async function pages(page) {
  console.log(`\nmedian of ${TIMES}, warmed\n answer   paint  page`);
  for (const path of PAGES) {
    const { status } = await opened(page, path);
    const runs = [];
    while (status === 200 && runs.length < TIMES) runs.push(await opened(page, path));
    const figures = status === 200 ? [runs.map((r) => r.answered), runs.map((r) => r.painted)].map((all) => whole(median(all))) : [status, ""];
    console.log(`${figures.join("  ")}  ${path}`);
  }
}

async function frames(page) {
  await page.goto("/survey");
  await mapReady(page);
  for (const [where, steps] of [["whole city", 0], ["zoomed in, with trees", 2]]) {
    await page.locator(".cm-stage canvas").focus();
    for (let i = 0; i < steps; i += 1) {
      await page.keyboard.press("Equal");
      await page.waitForTimeout(800);
    }
    const told = await frameTimes(page, () => panMap(page, 4));
    const [m, p, l, own, card] = [told.median, told.p95, told.longest, told.page, told.graphics].map((v) => v.toFixed(1));
    console.log(`\npanning for 4 s, ${where}: ${told.frames} frames; ms between them: median ${m}, p95 ${p}, longest ${l}`);
    console.log(`ms a frame at work: the page ${own}, drawing in software ${card}`);
  }
}

/** Figures in one browser. */
async function measured(words, start, parts) {
  console.log(`\n${words}`);
  const desk = await serve("--on", "2027-03-01");
  const chromium = await start();
  try {
    const visit = await session(chromium, desk);
    const page = await visit.page(VIEWS[0]);
    for (const part of parts) await part(page);
  } finally {
    await chromium.close();
    await desk.stop();
  }
}

// Where no graphics card is, drawing by one is played by the processor, and painting waits for its turn.
await measured("WITHOUT a graphics card's drawing (still map)", plainBrowser, [plans, pages]);
await measured("WITH a graphics card's drawing, played by the processor (moving map)", browser, [plans, pages, frames]);
