// Accounts and links: who comes in, how far each role goes, and who is put out.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axe, browser, fits, noFaults, serve, session, VIEWS, vnu } from "./harness.mjs";

const [WIDE, , NARROW] = VIEWS;
const PASSWORD = "correct horse battery";
let desk, chromium, visit, home;
const came = [];
const contexts = [];
before(async () => {
  desk = await serve("--on", "2027-03-01");
  chromium = await browser();
  visit = await session(chromium, desk);
  home = visit.home;
});
after(async () => {
  await vnu(came);
  await Promise.all(contexts.map((context) => context.close()));
  await visit?.close();
  await chromium?.close();
  await desk?.stop();
});

/** A browser of its own. */
async function newcomer() {
  const context = await chromium.newContext({ baseURL: home, viewport: WIDE });
  contexts.push(context);
  return context;
}

/** Has the manager make an invitation or a link; gives its address. */
async function made(kind, name, role) {
  const page = await visit.page(WIDE);
  await page.goto("/programme/accounts");
  await page.getByLabel(kind === "invite" ? "Name" : "For", { exact: true }).fill(name);
  await page.getByLabel("Role").nth(kind === "invite" ? 0 : 1).selectOption(role);
  await page.getByRole("button", { name: kind === "invite" ? "Make the invitation" : "Make the link" }).click();
  const address = await page.locator("code.long").textContent();
  await axe(page);
  came.push({ name: "/programme/accounts", html: await page.content() });
  noFaults(page);
  await page.close();
  return address;
}

/** Takes an invitation up. */
async function join(address) {
  const context = await newcomer();
  const page = await context.newPage();
  await page.goto(address);
  await page.getByLabel("Password, at least").fill(PASSWORD);
  await page.getByLabel("The same again").fill(PASSWORD);
  await page.keyboard.press("Enter");
  await page.waitForURL(`${home}/`);
  return { context, page };
}

test("a volunteer's link shows the field work only, works again and again, and ends when it is taken back", async () => {
  const address = await made("link", "North group", "volunteer");
  const context = await newcomer();
  for (let time = 0; time < 2; time += 1) {
    const page = await context.newPage();
    await page.goto(address);
    came.push({ name: "/join", html: await page.content() });
    await axe(page);
    await page.getByRole("button", { name: "Come in" }).click();
    await page.waitForURL(`${home}/`);
    await page.close();
  }
  const page = await context.newPage();
  await page.goto("/field/bands");
  const places = await page.getByRole("navigation", { name: "Places" }).getByRole("link").allTextContents();
  assert.deepEqual(places, ["This week", "Timing", "Field"]);
  await page.getByLabel("Block", { exact: true }).fill("A07");
  await page.getByLabel("Larvae, yellow heads").fill("12");
  await page.keyboard.press("Enter");
  await page.getByText("12 insects under").waitFor();
  assert.equal(await page.getByRole("button", { name: "Undo" }).count(), 0, "taking back is the manager's");
  assert.match(await page.locator("footer").textContent(), /Signed in as North group, volunteer/);
  const manager = await visit.page(WIDE);
  await manager.goto("/programme/history");
  await manager.getByText("North group").first().waitFor();
  await manager.goto("/programme/accounts");
  await manager.getByRole("button", { name: "Take back the link for North group" }).click();
  await manager.getByText("North group can no longer come in.").waitFor();
  await page.goto("/field/bands");
  assert.equal(new URL(page.url()).pathname, "/login", "out with the next request");
  assert.equal((await context.request.get(address)).status(), 404);
  await manager.close();
});

test("a password opens its account only, and guessing stops", async () => {
  const address = await made("invite", "Kim", "reader");
  const { context, page } = await join(address);
  assert.equal((await context.request.get(address)).status(), 404, "an invitation works once");
  await page.getByRole("button", { name: "Sign out" }).click();
  await page.waitForURL(/login/);
  await axe(page);
  came.push({ name: "/login", html: await page.content() });
  await page.getByLabel("Name").fill("kim");
  await page.getByLabel("Password").fill(PASSWORD);
  await page.keyboard.press("Enter");
  await page.waitForURL(`${home}/`);
  const guess = () =>
    context.request.post("/login", { headers: { origin: home }, form: { name: "Kim", password: "wrong, but long" } });
  for (let time = 0; time < 8; time += 1) {
    assert.equal((await guess()).status(), 401);
  }
  assert.equal((await guess()).status(), 429);
  const elsewhere = await context.request.post("/login", {
    headers: { origin: "http://elsewhere.example" },
    form: { name: "Kim", password: PASSWORD },
  });
  assert.equal(elsewhere.status(), 403, "no other page signs anybody in");
});

test("the pages of coming in are reachable and fit", async () => {
  for (const view of [WIDE, NARROW]) {
    const context = await chromium.newContext({ baseURL: home, viewport: view });
    contexts.push(context);
    const page = await context.newPage();
    await page.goto("/login");
    await fits(page);
    await axe(page);
  }
  const phone = await visit.page(NARROW);
  await phone.goto("/programme/accounts");
  await fits(phone);
  await axe(phone);
});

test("a page shows the forms that its reader may send, and no others", async () => {
  const sees = {};
  for (const role of ["crew", "reader"]) {
    const { page } = await join(await made("invite", `Looks as ${role}`, role));
    await page.goto("/field/bands");
    await axe(page);
    sees[role] = await page.getByRole("button", { name: "Add the visit" }).count();
    came.push({ name: `/field/bands as ${role}`, html: await page.content() });
    await page.goto("/plan");
    assert.equal(await page.getByRole("button", { name: "Make the plan" }).count(), 0);
  }
  assert.deepEqual(sees, { crew: 1, reader: 0 });
});

test("two managers at once lose nothing", async () => {
  const [one, two] = [await visit.page(WIDE), await visit.page(WIDE)];
  await one.goto("/survey/blocks/A07");
  const form = await one.locator("main a[href^='/survey/visits/']").first().getAttribute("href");
  await Promise.all([one, two].map((page) => page.goto(form)));
  const note = (page) => page.getByLabel("Note");
  const save = (page) => page.getByRole("button", { name: "Save the correction" }).click();
  await note(one).fill("counted by the gate");
  await save(one);
  await one.getByText("corrected").first().waitFor();
  // The other form was filled before that: it is not written over what the first one wrote, and keeps what was typed.
  await note(two).fill("counted by the barn");
  await save(two);
  await two.getByText("Somebody changed visit").waitFor();
  assert.equal(await note(two).inputValue(), "counted by the barn");
  await axe(two);
  await one.goto(form);
  assert.equal(await note(one).inputValue(), "counted by the gate");
  // Having been told, the other may put theirs in its place; the history has both.
  await save(two);
  await two.getByText("corrected").first().waitFor();
  await one.goto(form);
  assert.equal(await note(one).inputValue(), "counted by the barn");
  // Twenty entries by both at the same moment.
  const entry = (page, minutes) =>
    page.request.post("/field/bands", {
      headers: { origin: home },
      form: { date: "2027-03-01", block: "A07", bands: "1", minutes: String(minutes), who: "at once" },
      maxRedirects: 0,
    });
  const sent = Array.from({ length: 20 }, (_, i) => entry(i % 2 === 0 ? one : two, i + 1));
  assert.deepEqual([...new Set((await Promise.all(sent)).map((answer) => answer.status()))], [303]);
  await one.goto("/field/bands?block=A07");
  assert.equal(await one.getByRole("cell", { name: "at once", exact: true }).count(), 20);
  await Promise.all([one, two].map((page) => page.close()));
});
