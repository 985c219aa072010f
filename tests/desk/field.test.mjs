// The field log: bands with their curve and advice, scraping, application records that stay, notices and their proof.

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { after, before, test } from "node:test";
import { promisify } from "node:util";

import { axe, browser, fits, noFaults, serve, session, VIEWS, vnu } from "./harness.mjs";

const BINARY = process.env.CROWNHOLD ?? "target/debug/crownhold";
const [WIDE, , NARROW] = VIEWS;
let desk, chromium, visit;
const came = [];
before(async () => {
  desk = await serve("--on", "2027-06-30");
  // Made in winter: in June the windows have closed.
  await promisify(execFile)(BINARY, ["plan", desk.file, "--on", "2027-01-15", "--keep", "winter plan"]);
  chromium = await browser();
  visit = await session(chromium, desk);
});
after(async () => {
  await vnu(came);
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

/** Looks at a page in both themes and on a phone. */
async function look(path) {
  const page = await visit.page(WIDE);
  await page.goto(path);
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    await axe(page);
  }
  came.push({ name: path, html: await page.content() });
  noFaults(page);
  await page.close();
  const phone = await visit.page(NARROW);
  await phone.goto(path);
  await fits(phone);
  await phone.close();
}

async function visitBands(page, { day, bands, large, block = "A07" }) {
  await page.goto("/field/bands");
  await page.getByLabel("Day", { exact: true }).fill(day);
  await page.getByLabel("Block", { exact: true }).fill(block);
  await page.getByLabel("Bands looked under").fill(String(bands));
  await page.getByLabel("Larvae, yellow heads").fill(String(large));
  await page.keyboard.press("Enter");
}

test("a catch is written down by keyboard, and eggs never stand without the share", async () => {
  const page = await visit.page(WIDE);
  await page.goto("/field");
  await page.getByRole("link", { name: "Bands", exact: true }).click();
  await visitBands(page, { day: "2027-06-20", bands: 10, large: 50 });
  await page.getByText("50 insects under 10.").waitFor();
  await visitBands(page, { day: "2027-06-28", bands: 10, large: 5 });
  await page.getByText("on 2027-06-28: 5 insects under 10.").waitFor();
  const lead = await page.locator(".lead").innerText();
  assert.match(lead, /55 insects taken off so far, .*of the late larvae there.*eggs at most/u);
  assert.equal(await page.getByRole("heading", { name: "Every third day is enough" }).count(), 1);
  assert.equal(await page.locator("figure .on-wide circle").count(), 3, "two days and the key");
  await page.getByRole("button", { name: /^Remove entry/ }).first().click();
  await page.getByText("Done: band visit").waitFor();
  await page.getByRole("button", { name: "Undo" }).first().click();
  assert.match(await (await page.goto("/field/bands")).text(), /55 insects/u);
  await page.goto("/field/bands?block=A07");
  await page.getByText("Jun 28: 5 larvae with yellow heads and 0 pupae.").waitFor();
  await axe(page);
  await page.getByRole("button", { name: "Let the dates learn from it" }).click();
  await page.waitForURL(/\/timing/);
  await page.getByRole("cell", { name: "Under bands 5 larvae from L4 on, 0 pupae" }).waitFor();
  await page.goto("/field/bands?block=A07");
  await page.getByText("The dates know it.").waitFor();
  assert.equal(await page.getByRole("button", { name: "Let the dates learn" }).count(), 0);
});

test("what is wrong stands beside its field, and what was typed stays", async () => {
  const page = await visit.page(WIDE);
  await visitBands(page, { day: "2027-07-15", bands: 2, large: 3 });
  assert.match(await page.locator("#date-wrong").innerText(), /has not come yet/u);
  assert.equal(await page.getByLabel("Larvae, yellow heads").inputValue(), "3");
  await visitBands(page, { day: "2027-06-29", bands: 2, large: 3, block: "nowhere" });
  assert.match(await page.locator("#block-wrong").innerText(), /no block "nowhere"/u);
  await axe(page);
});

test("scraping is written down, with its rate, the share of what was seen, and of the whole block", async () => {
  const page = await visit.page(WIDE);
  await page.goto("/field/scraping");
  await page.getByLabel("Day").fill("2027-02-10");
  await page.getByLabel("Block", { exact: true }).fill("A07");
  await page.getByLabel("Taken off from the ground").fill("120");
  await page.getByLabel("Seen and left").fill("80");
  await page.getByLabel("Hours, all together").fill("2");
  await page.keyboard.press("Enter");
  await page.getByText("Done: scraped in A07 on 2027-02-10: 120 masses").waitFor();
  const row = page.locator("#blocks ~ .scroll tbody tr", { hasText: "A07" }).first();
  assert.match(await row.innerText(), /120[\s\S]*60[\s\S]*60.%/u);
});

test("an application record is closed when whole, then only amended, and both versions are kept", async () => {
  const page = await visit.page(WIDE);
  await page.goto("/field/applications");
  const fill = async (label, value) => page.getByLabel(label, { exact: true }).fill(value);
  await fill("Day", "2027-05-28");
  await fill("Blocks, between commas", "A07");
  await fill("Product", "Btk liquid");
  await page.getByRole("button", { name: "Keep the record" }).click();
  await page.getByText("open; 14 fields to fill in").waitFor();
  await page.getByRole("button", { name: "Close record 2027-0001" }).click();
  assert.equal(await page.locator(".wrong[id]").count(), 14, "every blank is marked");
  await axe(page);
  for (const [label, value] of [
    ["Start", "06:10"], ["End", "08:45"], ["Registration number", "00000-00"], ["Formulation and strength", "aqueous, 48 BIU a gallon"],
    ["Rate, with its unit", "36 BIU in 0.75 gal an acre"], ["Product used in all, with its unit", "30 gal"], ["Area treated, acres", "40.5"],
    ["Wind, mph", "4"], ["Wind from, degrees", "270"], ["Temperature, F", "54"], ["Humidity, percent", "71"],
    ["Applicator", "A. Pilot"], ["Licence number", "L-1"], ["Aircraft or gear", "helicopter"],
  ]) await fill(label, value);
  await page.getByRole("button", { name: "Keep the record" }).click();
  await page.getByText("open; whole, to be closed").waitFor();
  await page.getByRole("button", { name: "Close record 2027-0001" }).click();
  await page.getByText("It can be amended, and no longer changed or undone.").waitFor();
  await page.goto("/programme/history");
  await page.getByRole("button", { name: /undo|take back/i }).first().click();
  assert.match(await page.locator("main").innerText(), /is closed and cannot be changed/u);
  await page.goto("/field/applications");
  await page.getByLabel("What was wrong").fill("wind misread");
  await page.getByRole("button", { name: "Amend record 2027-0001" }).click();
  await fill("Wind, mph", "6");
  await page.getByRole("button", { name: "Keep the record" }).click();
  await page.getByText("amended: wind misread").waitFor();
  const table = await (await page.request.get("/field/applications.csv")).text();
  const rows = table.trim().split(/\r?\n/);
  assert.equal(rows.length, 3);
  assert.match(rows[1], /^2027-0001,1,,2027-06-30,.*,40\.5,4,270,54,71,/u);
  assert.match(rows[2], /^2027-0001,2,wind misread,,,.*,40\.5,6,270,54,71,/u);
  for (const version of [1, 2]) {
    const pdf = await page.request.get(`/papers/applications/2027-0001/${version}`);
    assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-");
  }
});

test("notices count back from the early edge, and what was sent is kept as proof", async () => {
  const page = await visit.page(WIDE);
  await page.goto("/field/notices");
  assert.match(await page.locator("main").innerText(), /School[\s\S]*21 days before[\s\S]*Residents[\s\S]*10 days before/u);
  await page.getByLabel("Day").fill("2027-04-20");
  await page.getByLabel("Whom").selectOption("school");
  await page.getByLabel("How many").fill("4");
  await page.getByRole("button", { name: "Keep it as proof" }).click();
  await page.getByText("4, last on Apr 20").waitFor();
  for (const [lang, words] of [["en", "%PDF-"], ["es", "%PDF-"], ["fr", "%PDF-"]]) {
    const pdf = await page.request.get(`/papers/letters?lang=${lang}`);
    assert.equal((await pdf.body()).subarray(0, 5).toString(), words);
  }
});

test("the city's address list is cut to what lies near, and leads to its proof", async () => {
  const page = await visit.page(WIDE);
  await page.goto("/field/notices");
  // An address in the middle of every block, one far out, one without a place.
  const city = await (await page.request.get("/map/city.json")).json();
  const middle = (feature) => {
    const ring = feature.geometry.coordinates[0][0];
    const sum = ring.slice(1).reduce(([x, y], c) => [x + c[0], y + c[1]], [0, 0]);
    return sum.map((v) => v / (ring.length - 1));
  };
  const rows = city.blocks.features.map((f, i) => [`${i + 1} Mill Street`, ...middle(f)].join(","));
  const csv = ["street,lon,lat", ...rows, "1 Far Road,-86.0,43.5", "2 Lost Lane,,"].join("\n");
  await page.getByLabel("List with positions").setInputFiles({ name: "addresses.csv", mimeType: "text/csv", buffer: Buffer.from(csv) });
  await axe(page);
  await page.getByRole("button", { name: "Make the mailing list" }).click();
  await page.getByText(/addresses of .* rows of addresses\.csv lie in or near flown blocks\. The notices must be out by/).waitFor();
  await page.getByText("Without a position, and so on no list: row").waitFor();
  await axe(page);
  came.push({ name: "/field/notices/lists", html: await page.content() });
  const path = await page.getByRole("link", { name: /Download mailing-residents\.csv/ }).getAttribute("href");
  const list = (await (await page.request.get(path)).text()).trim().split("\n");
  assert.equal(list[0], "street,lon,lat,notice_block,notice_distance_ft,notice_by");
  assert.ok(list.length > 1 && list.slice(1).every((row) => /,A\d|,[B-Z]\d/.test(row) && !/Far|Lost/.test(row)));
  await page.getByRole("link", { name: "write down what was sent" }).click();
  assert.equal(await page.getByLabel("How many").inputValue(), String(list.length - 1));
  await page.getByRole("button", { name: "Keep it as proof" }).click();
  await page.getByRole("cell", { name: /Residents by letter \(list: addresses\.csv\)/ }).waitFor();
  noFaults(page);
  await page.close();
});

test("every page of the field is reachable, valid, quiet and fits", async () => {
  for (const path of ["/field", "/field/bands", "/field/bands?block=A07", "/field/trees/A07", "/field/scraping", "/field/flights", "/field/applications", "/field/notices"])
    await look(path);
  const page = await visit.page(WIDE);
  for (const path of ["/papers/bands", "/papers/scraping", "/papers/flights"]) {
    const pdf = await page.request.get(path);
    assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-", path);
  }
});

test("rounds are made, shown tree by tree, printed, and made again without a team", async () => {
  const page = await visit.page(WIDE);
  await page.goto("/field/rounds?day=2027-06-10&work=serve+bands");
  await page.getByRole("button", { name: "Make the rounds" }).click();
  await page.waitForURL(/field\/rounds\?day=2027-06-10/);
  const rows = page.getByRole("region", { name: "June 10, 2027: serve bands" }).locator("tbody tr");
  const before = await rows.count();
  assert.ok(before > 0, "no rounds");
  const first = rows.first().getByRole("link").first();
  const team = await first.textContent();
  const trees = Number(await rows.first().locator("td").nth(1).textContent());
  await first.click();
  assert.equal(await page.getByRole("region", { name: `${team}, tree by tree` }).locator("tbody tr").count(), trees);
  await page.getByLabel(team, { exact: true }).check();
  await page.getByRole("button", { name: "Make them again" }).click();
  await page.waitForURL(/field\/rounds\?day=2027-06-10&work=serve\+bands$/);
  await page.getByRole("heading", { name: "Make them again" }).waitFor();
  assert.equal(await rows.getByRole("link", { name: team, exact: true }).count(), 0);
  const sheets = await page.request.get("/papers/rounds?day=2027-06-10&work=serve+bands");
  assert.ok((await sheets.body()).subarray(0, 5).toString() === "%PDF-");
  await page.getByLabel("Team", { exact: true }).fill("Late pair");
  await page.getByLabel("Begins in block").fill("Q99");
  await page.getByRole("button", { name: "Keep the team" }).click();
  await page.getByText("There is no block").waitFor();
  await page.getByLabel("Begins in block").fill("A07");
  await page.getByRole("button", { name: "Keep the team" }).click();
  await page.getByText("team Late pair added").waitFor();
  await page.close();
  await look("/field/rounds?day=2027-06-10&work=serve+bands");
});
