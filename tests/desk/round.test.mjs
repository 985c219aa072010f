// The form on the phone: a visit in three taps, a day without a signal, nothing lost and nothing twice.

import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { axe, browser, command, fits, noFaults, noForeignRequests, phone, servePrepared, session, VIEWS, vnu } from "./harness.mjs";

const DAY = "2027-06-14";
let desk, chromium, manager, links;
const [folders, phones] = [[], []];
before(async () => {
  const prepare = async (file) => {
    await command("plan", file, "--on", "2027-03-01", "--keep", "Spring");
    await command("rounds", file, "--on", DAY, "--day", DAY, "--store");
    const link = (name, role) => command("accounts", file, "--link", name, "--role", role, "--until", soon());
    links = { volunteer: await link("North group", "volunteer"), reader: await link("Paper", "reader") };
  };
  desk = await servePrepared(prepare, "--on", DAY);
  chromium = await browser();
  manager = await session(chromium, desk);
});
after(async () => {
  // One that a failed test left open would keep the whole run waiting.
  await Promise.all(phones.map((one) => one.close().catch(() => {})));
  await manager?.close();
  await chromium?.close();
  await desk?.stop();
  await Promise.all(folders.map((folder) => rm(folder, { recursive: true, force: true })));
});

/** Links end by the real day. */
const soon = () => new Date(Date.now() + 5 * 86_400_000).toISOString().slice(0, 10);

/** A phone of somebody's own; it comes in by their link when it is new. */
async function phoneOf(who, folder) {
  const own = folder ?? (await mkdtemp(join(tmpdir(), "crownhold-phone-")));
  if (!folder) folders.push(own);
  const made = await phone(own, manager.home);
  phones.push(made);
  if (!folder) await enter(made.page, who);
  return { ...made, folder: own };
}

/** Comes in by the link that somebody was given. */
async function enter(page, who) {
  await page.goto(links[who].match(/\/join\/\S+/)[0]);
  await page.getByRole("main").getByRole("button").click();
  await page.waitForURL(`${manager.home}/`);
}

/** Visits that the desk has, by what its page says. */
async function atTheDesk() {
  const page = await manager.page(VIEWS[0]);
  await page.goto("/field/bands");
  const figure = page.locator("dl.figures div", { hasText: "looks under a band" }).locator("dd");
  const seen = (await figure.count()) > 0 ? Number((await figure.textContent()).replaceAll(",", "")) : 0;
  await page.close();
  return seen;
}

const standing = (page) => page.locator("#state");
const nothing = (page) => page.getByRole("button", { name: "Nothing found", exact: true });

/** Opens the form and takes the round up that stands there at a place of the list. */
async function takeUp(page, at = 0) {
  await page.locator(".round-choice").nth(at).tap();
  await page.locator("#save").waitFor();
}

/** Saves visits to trees until so many are saved; goes on to the next round when one is done. */
async function goRound(page, visits, first = 0) {
  let round = first;
  for (let made = 0; made < visits; made += 1) {
    if ((await page.locator("#save").count()) === 0) {
      round += 1;
      await page.getByRole("button", { name: "List" }).tap();
      await page.getByRole("button", { name: "Another round" }).tap();
      await takeUp(page, round);
    }
    const tree = await page.locator("#tree").textContent();
    await nothing(page).tap();
    await page.waitForFunction((before) => document.querySelector("#tree")?.textContent !== before, tree);
  }
  return round;
}

test("a visit takes three taps, and can be taken back while it lies on the phone", async () => {
  const { page, close } = await phoneOf("volunteer");
  await page.goto("/round");
  await takeUp(page);
  let taps = 0;
  const tap = async (name) => {
    taps += 1;
    await page.getByRole("button", { name, exact: true }).tap();
  };
  const tree = await page.locator("#tree").textContent();
  await tap("1");
  await tap("2");
  await tap("Save 12");
  assert.equal(taps, 3);
  await page.getByText(`Saved: ${tree.replace("Tree ", "")}, 12 larvae, yellow heads.`).waitFor();
  await page.getByRole("button", { name: "Take it back" }).tap();
  await page.getByRole("heading", { name: tree }).waitFor();
  await page.getByRole("button", { name: "Save 12", exact: true }).tap();
  await page.getByRole("button", { name: "List" }).tap();
  const before = await atTheDesk();
  await page.getByRole("button", { name: /^Send what lies/ }).tap();
  await page.getByText("All is at the desk").waitFor();
  assert.equal(await atTheDesk(), before + 1);
  // What the desk has cannot be taken back on the phone, and is not entered twice that way.
  assert.equal(await page.getByRole("button", { name: "Take it back" }).count(), 0);
  noFaults(page);
  noForeignRequests(page);
  await close();
});

test("200 visits with the server down and the phone dead half-way: all come, none twice", async () => {
  const before = await atTheDesk();
  let { page, kill, folder } = await phoneOf("volunteer");
  await page.goto("/round");
  await takeUp(page, 1);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await desk.down();
  const round = await goRound(page, 100, 1);
  await kill();
  let close;
  ({ page, close } = await phoneOf("volunteer", folder));
  await page.goto("/round");
  await page.getByText("100 visits on the phone").waitFor();
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: "Another round" }).tap();
  await takeUp(page, round + 1);
  await goRound(page, 100, round + 1);
  assert.match(await standing(page).textContent(), /No signal. 200 visits on the phone/);
  await desk.up();
  // The phone has forgotten who it was, as after a long day.
  await page.context().clearCookies();
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: /^Send what lies/ }).tap();
  await page.getByText("Signed out. 200 visits on the phone; sign in to send them.").waitFor();
  await enter(page, "volunteer");
  // The first answer is lost on its way: the phone sends again, and the desk knows the visits.
  let lost = 0;
  await page.context().route("**/round/visits", async (route) => {
    if (lost > 0) return route.fallback();
    lost += 1;
    await route.fetch();
    return route.abort();
  });
  await page.goto("/round");
  await page.getByText("No signal. 200 visits").waitFor();
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: /^Send what lies/ }).tap();
  await page.getByText("All is at the desk").waitFor();
  assert.equal(lost, 1);
  await close();
  // The printed link of before the power cut has gone with the server.
  desk.url = await desk.link();
  await manager.close();
  manager = await session(chromium, desk);
  assert.equal(await atTheDesk(), before + 200);
});

test("a photo is made small, waits with its visit, and is shown at the desk", async () => {
  const { page, close } = await phoneOf("volunteer");
  await page.goto("/round");
  await takeUp(page, 5);
  // A picture as a camera gives it: large.
  const picture = await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(3000, 2000);
    canvas.getContext("2d").fillRect(100, 100, 900, 900);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: "image/png" })).arrayBuffer());
    return btoa(Array.from(bytes, (b) => String.fromCharCode(b)).join(""));
  });
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.context().setOffline(true);
  await page.getByLabel("Photo, if it helps").setInputFiles({ name: "a.png", mimeType: "image/png", buffer: Buffer.from(picture, "base64") });
  await page.getByText("Photo taken; another one").waitFor();
  await page.getByRole("button", { name: "7", exact: true }).tap();
  await page.getByRole("button", { name: "Save 7", exact: true }).tap();
  await page.getByText(/^Saved: /).waitFor();
  await page.reload();
  await page.getByText("1 visit on the phone").waitFor();
  await page.context().setOffline(false);
  await page.reload();
  await page.getByText("All is at the desk").waitFor();
  const desk = await manager.page(VIEWS[0]);
  await desk.goto("/field/bands");
  const href = await desk.getByRole("link", { name: /^Photo of entry/ }).first().getAttribute("href");
  const shown = await desk.request.get(href);
  assert.equal(shown.headers()["content-type"], "image/jpeg");
  const [width, height] = await desk.evaluate(async (href) => {
    const made = await createImageBitmap(await (await fetch(href)).blob());
    return [made.width, made.height];
  }, href);
  assert.deepEqual([width, height], [1280, 853]);
  const wrong = await page.request.post(href, { headers: { origin: manager.home }, data: "no picture", maxRedirects: 0 });
  assert.equal(wrong.status(), 422);
  await desk.close();
  await close();
});

test("the phone's place leads to the tree one stands at, and goes with the visit", async () => {
  const { page, close } = await phoneOf("volunteer");
  await page.context().grantPermissions(["geolocation"]);
  await page.goto("/round");
  const { rounds } = await (await page.request.get("/round/today.json")).json();
  const [first, ...rest] = rounds[6].stops;
  const far = rest.find((stop) => Math.hypot(stop.place[0] - first.place[0], stop.place[1] - first.place[1]) > 0.001);
  const [longitude, latitude] = far.place;
  await page.context().setGeolocation({ longitude, latitude, accuracy: 5 });
  await takeUp(page, 6);
  await page.getByRole("button", { name: "3", exact: true }).tap();
  const there = page.getByRole("button", { name: `You stand at ${far.tree}: open it` });
  await there.waitFor();
  // What was typed stays while one walks, and no key goes away under a thumb.
  const key = await page.locator("#key-3").elementHandle();
  await page.context().setGeolocation({ longitude: first.place[0], latitude: first.place[1], accuracy: 5 });
  await there.waitFor({ state: "detached" });
  assert.ok(await key.evaluate((element) => element.isConnected));
  assert.equal(await page.locator("#save").textContent(), "Save 3");
  await page.context().setGeolocation({ longitude, latitude, accuracy: 5 });
  await there.tap();
  await page.getByText(/ · here$/).waitFor();
  await nothing(page).tap();
  const sent = page.waitForRequest("**/round/visits");
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: /^Send what lies/ }).tap();
  const [visit] = (await sent).postDataJSON().visits;
  assert.deepEqual([visit.tree, visit.at], [far.tree, [longitude, latitude]]);
  await page.getByText("All is at the desk").waitFor();
  await close();
});

test("without a signal, a round of yesterday says that it is", async () => {
  const { page, close } = await phoneOf("volunteer");
  await page.goto("/round");
  await takeUp(page, 5);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.context().setOffline(true);
  await page.clock.setFixedTime(new Date(Date.now() + 86_400_000));
  await page.reload();
  await page.getByText("This is the round of June 14, 2027").waitFor();
  await close();
});

test("two at the same band are shown to the manager, who removes one", async () => {
  const [one, two] = [await phoneOf("volunteer"), await phoneOf("volunteer")];
  for (const { page } of [one, two]) {
    await page.goto("/round");
    await takeUp(page, 7);
  }
  for (const { page } of [one, two]) {
    await page.getByRole("button", { name: "5", exact: true }).tap();
    await page.getByRole("button", { name: "Save 5", exact: true }).tap();
    await page.getByRole("button", { name: "List" }).tap();
    await page.getByRole("button", { name: /^Send what lies/ }).tap();
    await page.getByText("All is at the desk").waitFor();
  }
  const page = await manager.page(VIEWS[0]);
  await page.goto("/field/bands");
  const both = page.getByRole("region", { name: "Twice at the same band on one day" });
  assert.equal(await both.locator("tbody tr").count(), 2);
  await axe(page);
  await both.getByRole("button").first().click();
  await page.getByText("removed").first().waitFor();
  assert.equal(await both.count(), 0);
  await Promise.all([one, two].map((p) => p.close()));
  await page.close();
});

test("what the desk does not take stays on the phone with the reason", async () => {
  const { page, close } = await phoneOf("volunteer");
  await page.goto("/round");
  await takeUp(page, 6);
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByLabel("Its number, if it has one").fill("no such tree");
  await page.getByRole("button", { name: "Open it" }).tap();
  await nothing(page).tap();
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: /^Send what lies/ }).tap();
  await page.getByText("No block of the programme is known for it").waitFor();
  assert.match(await standing(page).textContent(), /1 not taken/);
  await page.reload();
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: /take it off/ }).tap();
  await page.getByRole("button", { name: /take it off/ }).waitFor({ state: "detached" });
  await close();
});

test("a reader is told, and a stranger's phone holds no record", async () => {
  const { page, close } = await phoneOf("reader");
  await page.goto("/round");
  await takeUp(page);
  await nothing(page).tap();
  await page.getByRole("button", { name: "List" }).tap();
  await page.getByRole("button", { name: /^Send what lies/ }).tap();
  await page.getByText("Your role cannot write visits down").waitFor();
  await close();
  folders.push(await mkdtemp(join(tmpdir(), "crownhold-phone-")));
  const stranger = await phone(folders.at(-1), manager.home);
  phones.push(stranger);
  await stranger.page.goto("/round");
  await stranger.page.getByText("Open the link that you were given").waitFor();
  assert.equal((await stranger.page.request.get("/round/today.json", { maxRedirects: 0 })).status(), 303);
  await stranger.close();
});

test("the form in every size and theme", async () => {
  const pages = [];
  for (const view of VIEWS) {
    const page = await manager.page(view);
    await page.goto("/round");
    await page.locator(".round-choice").first().click();
    for (const name of ["Tree", "Map", "List"]) {
      await page.getByRole("button", { name, exact: true }).click();
      await axe(page);
      await fits(page);
      if (view === VIEWS[0]) pages.push({ name: `/round ${name}`, html: await page.content() });
    }
    noFaults(page);
    await page.close();
  }
  await vnu(pages);
});

test("by keyboard alone", async () => {
  const page = await manager.page(VIEWS[0]);
  await page.goto("/round");
  await page.locator(".round-choice").first().focus();
  await page.keyboard.press("Enter");
  const tree = await page.locator("#tree").textContent();
  await page.locator("#field-1").focus();
  await page.keyboard.press("ArrowRight");
  await page.locator("#key-3").focus();
  await page.keyboard.press("Enter");
  await page.keyboard.press("Enter");
  const chosen = page.locator("label.count", { has: page.locator("input:checked") });
  assert.match(await chosen.textContent(), /Pupae33/);
  await page.locator("#save").focus();
  await page.keyboard.press("Enter");
  await page.getByText("33 pupae").waitFor();
  assert.notEqual(await page.locator("#tree").textContent(), tree);
  await page.close();
});
