// Prints how fast the screens are with the invented city: node tests/desk/figures.mjs [COMMAND]. No test: figures
// belong to a machine. Times in milliseconds.

import { join, resolve } from "node:path";

const here = import.meta.dirname;
process.env.CROWNHOLD = resolve(process.argv[2] ?? join(here, "../../target/release/crownhold"));
const { browser, frameTimes, mapReady, panMap, serve, session, VIEWS } = await import("./harness.mjs");

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

/** From the click on "Make the plan" to the first paint of the page with the new plan. */
async function solved(page, name) {
  await page.goto("/plan");
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

const desk = await serve("--on", "2027-03-01");
const chromium = await browser();
const visit = await session(chromium, desk);
const page = await visit.page(VIEWS[0]);

const first = await solved(page, "first");
const again = [];
for (let i = 0; i < 3; i += 1) again.push(await solved(page, `again ${i + 1}`));
console.log(`from the click to the new plan: first ${whole(first)}, again ${again.map(whole).join(",")}`);

console.log(`\nmedian of ${TIMES}, warmed\n answer   paint  page`);
for (const path of PAGES) {
  const { status } = await opened(page, path);
  if (status !== 200) {
    console.log(`      –       –  ${path} (${status})`);
    continue;
  }
  const runs = [];
  for (let i = 0; i < TIMES; i += 1) runs.push(await opened(page, path));
  console.log(`${whole(median(runs.map((r) => r.answered)))}  ${whole(median(runs.map((r) => r.painted)))}  ${path}`);
}

await page.goto("/survey");
await mapReady(page);
for (const steps of [0, 2]) {
  await page.locator(".cm-stage canvas").focus();
  for (let i = 0; i < steps; i += 1) {
    await page.keyboard.press("Equal");
    await page.waitForTimeout(800);
  }
  const { frames, median: middle, p95, longest } = await frameTimes(page, () => panMap(page, 4));
  const where = steps === 0 ? "whole city" : "zoomed in, with trees";
  console.log(`\npanning for 4 s, ${where}: ${frames} frames; ms between them: median ${middle.toFixed(1)}, p95 ${p95.toFixed(1)}, longest ${longest.toFixed(1)}`);
}

await visit.close();
await chromium.close();
await desk.stop();
