// What every test of the screens stands on: a desk with the invented city, a browser, and outside judges.

import { spawn, execFile } from "node:child_process";
import { EventEmitter, once } from "node:events";
import { mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { promisify } from "node:util";
import assert from "node:assert/strict";

import { chromium } from "playwright-core";

const require = createRequire(import.meta.url);
const run = promisify(execFile);

/** The command under test; run.mjs sets it. */
const BINARY = process.env.CROWNHOLD ?? "target/debug/crownhold";
const CHROMIUM = process.env.CHROMIUM ?? "/usr/bin/chromium";
/** Seconds a desk may take to print its address or a page, on a busy machine. */
const PATIENCE = 120;

/** The sizes and themes in which screens are walked. */
export const VIEWS = [
  { name: "1400 light", width: 1400, height: 900, colorScheme: "light" },
  { name: "1400 dark", width: 1400, height: 900, colorScheme: "dark" },
  { name: "390 light", width: 390, height: 844, colorScheme: "light", touch: true },
  { name: "390 dark", width: 390, height: 844, colorScheme: "dark", touch: true },
];

/** Runs the command; what it prints. */
export const command = async (...words) => (await run(BINARY, words)).stdout;

/**
 * Makes the invented city in a folder of its own and serves it: {url, file, link(), output(), down(), up(), stop()}.
 * url is the first one-time link; link() asks for another, as a person at the terminal does. down() ends the server as a
 * power cut does, up() starts it again at the same address. 
 */
export async function serve(...options) {
  return servePrepared(async () => {}, ...options);
}

/** The same with something done to the file before: prepare(file). */
export async function servePrepared(prepare, ...options) {
  const folder = await mkdtemp(join(tmpdir(), "crownhold-desk-"));
  await run(BINARY, ["demo", folder, "--seed", "1", "--season", "2027"]);
  const file = join(folder, "pellwood.gpkg");
  await prepare(file);
  let program, said;
  const up = async (port = "0") => {
    program = spawn(BINARY, ["serve", file, "--port", port, "--no-open", ...options]);
    said = listen(program);
    return said.nextAddress();
  };
  const down = async (signal = "SIGKILL") => {
    if (program?.exitCode === null && program.signalCode === null) {
      program.kill(signal);
      await once(program, "exit");
    }
  };
  const stop = async () => {
    await down("SIGTERM");
    await rm(folder, { recursive: true, force: true });
  };
  const link = () => {
    program.stdin.write("\n");
    return said.nextAddress();
  };
  try {
    const url = await up();
    const again = () => up(new URL(url).port);
    return { url, file, link, output: () => said.lines.join("\n"), down, up: again, stop };
  } catch (fault) {
    await stop();
    throw fault;
  }
}

/** Keeps what a program prints: {lines, nextAddress()}; the addresses in it are given out one by one. */
function listen(program) {
  const said = new EventEmitter();
  const [lines, addresses] = [[], []];
  for (const stream of [program.stdout, program.stderr]) {
    createInterface({ input: stream }).on("line", (line) => {
      lines.push(line);
      addresses.push(...(line.match(/http:\/\/\S+/g) ?? []));
      said.emit("line");
    });
  }
  program.once("exit", () => said.emit("line"));
  const nextAddress = async () => {
    const late = AbortSignal.timeout(PATIENCE * 1000);
    while (addresses.length === 0) {
      const over = late.aborted || program.exitCode !== null || program.signalCode !== null;
      assert.ok(!over, `the desk printed no address:\n${lines.join("\n")}`);
      await once(said, "line", { signal: late }).catch(() => {});
    }
    return addresses.shift();
  };
  return { lines, nextAddress };
}

/** A browser that draws WebGL in software, so that it is the same on every machine. */
export function browser() {
  const args = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"];
  return chromium.launch({ executablePath: CHROMIUM, args });
}

/**
 * A phone with a memory of its own: {page, kill(), close()}. kill() ends it as an empty battery does; the next phone of
 * the same folder finds what was written to its disk.
 */
export async function phone(folder, baseURL) {
  const context = await chromium.launchPersistentContext(folder, {
    executablePath: CHROMIUM,
    args: ["--no-sandbox"],
    baseURL,
    viewport: { width: 390, height: 844 },
    hasTouch: true,
  });
  const kill = async () => {
    const closed = once(context, "close");
    for (const pid of (await readdir("/proc")).filter((name) => /^\d+$/.test(name))) {
      const words = await readFile(`/proc/${pid}/cmdline`, "utf8").catch(() => "");
      // Its children may be gone by the time it is their turn.
      if (words.includes(`user-data-dir=${folder}`)) try { process.kill(Number(pid), "SIGKILL"); } catch {}
    }
    await closed;
  };
  return { page: watched(context.pages()[0] ?? (await context.newPage())), kill, close: () => context.close() };
}

/** A browser that cannot draw WebGL at all. */
export function plainBrowser() {
  return chromium.launch({ executablePath: CHROMIUM, args: ["--no-sandbox", "--disable-3d-apis", "--disable-gpu"] });
}

/**
 * A desk, a browser that came in by its link and a page of it, for all tests of a file: {desk, visit, page, close()}.
 * Call it in before() and its close() in after().
 */
export async function atTheDesk(view) {
  const desk = await serve("--on", "2027-03-01");
  const host = await browser();
  const visit = await session(host, desk);
  const close = async () => {
    await visit.close();
    await host.close();
    await desk.stop();
  };
  return { desk, visit, page: await visit.page(view), close };
}

/** A browser that has not come in by any link: {page, close()}. */
export async function stranger(browser, view) {
  const context = await browser.newContext(options(view));
  return { page: watched(await context.newPage()), close: () => context.close() };
}

function options({ width, height, colorScheme, touch = false, javaScriptEnabled = true }) {
  return { viewport: { width, height }, colorScheme, hasTouch: touch, javaScriptEnabled };
}

/**
 * Signs in with the one-time link and gives pages of that session: {page(view), close()}.
 * A page keeps what was asked for and what went wrong in page.asked and page.faults.
 */
export async function session(browser, desk) {
  const first = await browser.newContext();
  const page = await first.newPage();
  await page.goto(desk.url);
  const home = new URL(page.url()).origin;
  const storageState = await first.storageState();
  await first.close();
  const contexts = [];
  return {
    home,
    async page(view) {
      const context = await browser.newContext({ ...options(view), baseURL: home, storageState });
      contexts.push(context);
      return watched(await context.newPage());
    },
    close: () => Promise.all(contexts.map((context) => context.close())),
  };
}

function watched(page) {
  page.setDefaultTimeout(PATIENCE * 1000);
  page.asked = [];
  page.faults = [];
  page.on("request", (request) => page.asked.push(request.url()));
  page.on("pageerror", (fault) => page.faults.push(String(fault)));
  page.on("console", (message) => {
    if (message.type() === "error") page.faults.push(`${message.text()} (${message.location().url})`);
  });
  return page;
}

/** Waits until the page's map can be used. */
export const mapReady = (page) => page.waitForSelector("crown-map[data-ready]");

/** Fails on any violation that axe finds. */
export async function axe(page) {
  // What still fades in has no contrast yet.
  await page.evaluate(() => Promise.allSettled(document.getAnimations().filter((a) => a.effect?.getComputedTiming().endTime !== Infinity).map((a) => a.finished)));
  // By the debugger's door, which a strict content policy does not close.
  await page.evaluate(await readFile(require.resolve("axe-core/axe.min.js"), "utf8"));
  const { violations } = await page.evaluate(() => globalThis.axe.run());
  const lines = violations.map((v) => `${v.id}: ${v.help}\n  ${v.nodes.map((n) => n.html.slice(0, 160)).join("\n  ")}`);
  assert.equal(violations.length, 0, `${page.url()}\n${lines.join("\n")}`);
}

/** Fails on any error that the HTML checker finds in pages: [{name, html}]. One run for all. */
export async function vnu(pages) {
  const jar = join(require.resolve("vnu-jar/package.json"), "../build/dist/vnu.jar");
  const folder = await mkdtemp(join(tmpdir(), "crownhold-html-"));
  try {
    const files = pages.map((_, i) => join(folder, `${i}.html`));
    await Promise.all(pages.map(({ html }, i) => writeFile(files[i], html)));
    const options = { maxBuffer: 1 << 26 };
    // It ends with 1 where it found something; what it found is in its JSON either way.
    const told = await run("java", ["-jar", jar, "--format", "json", "--exit-zero-always", ...files], options);
    const found = JSON.parse(told.stderr).messages.filter((m) => m.type === "error" || m.subType === "fatal");
    const place = (m) => pages[Number(/(\d+)\.html$/.exec(m.url)?.[1])]?.name ?? m.url;
    const lines = found.map((m) => `${place(m)}, line ${m.lastLine}: ${m.message}\n  ${m.extract}`);
    assert.equal(found.length, 0, lines.join("\n"));
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** Fails if the page asked anything of another machine than the desk. */
export function noForeignRequests(page) {
  const home = new URL(page.url()).origin;
  const foreign = page.asked.filter((url) => !/^(data|blob):/.test(url) && new URL(url).origin !== home);
  assert.deepEqual(foreign, []);
}

/**
 * Fails if the page threw or logged an error, a refused script or style among them. The browser also logs a page
 * that answers with an error status; that is for the test of the status.
 */
export function noFaults(page) {
  const status = /^Failed to load resource: the server responded with a status of/;
  const faults = page.faults.filter((fault) => !(status.test(fault) && fault.endsWith(`(${page.url()})`)));
  assert.deepEqual(faults, []);
}

/** Fails if the page as a whole must be scrolled sideways. */
export async function fits(page) {
  const { wide, room } = await page.evaluate(() => ({
    wide: document.documentElement.scrollWidth,
    room: document.documentElement.clientWidth,
  }));
  assert.ok(wide <= room, `${page.url()} is ${wide} px wide in ${room} px`);
}

/**
 * Frames that the browser drew during an act, by its own trace: {frames, median, p95, longest} are milliseconds between
 * them; {page, graphics} are milliseconds a frame that the page's main thread (scripts, style, layout) and the thread
 * that draws for the graphics card were at work. Where a processor stands in for the card, the latter is what is slow.
 */
export async function frameTimes(page, act) {
  const host = page.context().browser();
  await host.startTracing(page, { categories: ["disabled-by-default-devtools.timeline.frame", "toplevel"] });
  await act();
  const { traceEvents } = JSON.parse((await host.stopTracing()).toString());
  const drawn = traceEvents.filter((e) => e.name === "DrawFrame").map((e) => e.ts / 1000);
  drawn.sort((a, b) => a - b);
  const gaps = drawn.slice(1).map((at, i) => at - drawn[i]);
  gaps.sort((a, b) => a - b);
  const at = (share) => gaps[Math.min(gaps.length - 1, Math.floor(share * gaps.length))] ?? NaN;
  const busy = (thread) => busyOn(traceEvents, thread) / Math.max(1, drawn.length);
  const [pageWork, graphics] = [busy("CrRendererMain"), busy("CrGpuMain")];
  return { frames: drawn.length, median: at(0.5), p95: at(0.95), longest: at(1), page: pageWork, graphics };
}

/** Milliseconds that the busiest thread of that name was at work in a trace. */
function busyOn(events, thread) {
  const key = (e) => `${e.pid} ${e.tid}`;
  const named = new Map(events.filter((e) => e.name === "thread_name" && e.args.name === thread).map((e) => [key(e), 0]));
  for (const e of events) {
    const isTask = e.ph === "X" && /RunTask$/.test(e.name);
    if (isTask && named.has(key(e))) named.set(key(e), named.get(key(e)) + e.dur / 1000);
  }
  return Math.max(0, ...named.values());
}

/** Drags the map back and forth with the mouse for about so many seconds. */
export async function panMap(page, seconds = 2) {
  const box = await page.locator(".cm-stage").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  const end = Date.now() + seconds * 1000;
  for (let step = 0; Date.now() < end; step += 1) {
    await page.mouse.move(x + 140 * Math.sin(step / 12), y + 70 * Math.sin(step / 19));
  }
  await page.mouse.up();
}
