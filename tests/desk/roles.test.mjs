// How far each role goes: every address of the desk, asked by every role.

import assert from "node:assert/strict";
import { readFile, rm } from "node:fs/promises";
import { after, before, test } from "node:test";

import { command, servePrepared } from "./harness.mjs";

const ROLES = ["manager", "technician", "crew", "volunteer", "reader"];
const PASSWORD = "correct horse battery";
/** Every address of the desk, with the roles that may use it by their first letters: kept by a test of the server. */
const TABLE = new URL(
  "../../crates/crownhold-app/src/desk/snapshots/crownhold_app__desk__ranks__tests__every_address_by_role.snap",
  import.meta.url,
);

let desk, home;
before(async () => {
  // An empty programme: what a page or paper shows is tested elsewhere, and there is nothing to wait for.
  desk = await servePrepared(async (file) => {
    await rm(file);
    await command("new", file, "--name", "Empty", "--crs", "EPSG:32616", "--season", "2027");
  });
  home = new URL(desk.url).origin;
});
after(() => desk?.stop());

/** Comes in as somebody of a role; the cookie of the session. */
async function cookieOf(role) {
  const said = await command("accounts", desk.file, "--invite", `The ${role}`, "--role", role);
  const path = said.match(/\/join\/\S+/)[0];
  const body = new URLSearchParams({ password: PASSWORD, again: PASSWORD });
  const came = await fetch(home + path, { method: "POST", headers: { origin: home }, body, redirect: "manual" });
  assert.equal(came.status, 303, path);
  return came.headers.get("set-cookie").split(";")[0];
}

/** The cells of the table: letters, method, and an address without any record behind it. */
async function cells() {
  const lines = (await readFile(TABLE, "utf8")).split("---\n").at(-1).trim().split("\n");
  return lines.map((line) => {
    const [letters, method, path] = line.split(" ");
    return { letters, method, path: path.replaceAll(/\{[^}]*\}/g, "none") };
  });
}

/** Status of a call. What is sent is no form, so that whoever may send one is told so, and nothing comes of it. */
async function status(cookie, { method, path }) {
  const headers = { cookie, origin: home, ...(method === "POST" && { "content-type": "text/plain" }) };
  const body = method === "POST" ? "nothing" : undefined;
  const answer = await fetch(home + path, { method, headers, body, redirect: "manual" });
  await answer.arrayBuffer();
  return answer.status;
}

test("each role goes as far as it may, in every cell of the table", async (t) => {
  const table = await cells();
  const wrong = [];
  for (const role of ROLES) {
    const cookie = await cookieOf(role);
    for (const cell of table) {
      const answer = await status(cookie, cell);
      const fits = (answer !== 403) === cell.letters.includes(role[0]) && answer < 500;
      if (!fits) wrong.push(`${role} ${cell.method} ${cell.path}: ${answer}`);
    }
  }
  assert.deepEqual(wrong, []);
  assert.ok(table.length >= 100, `${table.length} addresses`);
  t.diagnostic(`${table.length * ROLES.length} cells: ${table.length} addresses by ${ROLES.length} roles`);
});

test("a new password puts out whoever came in with the old one", async () => {
  const before = await cookieOf("reader");
  assert.equal(await status(before, { method: "GET", path: "/survey" }), 200);
  const basic = (password) => ({ authorization: `Basic ${btoa(`The reader:${password}`)}` });
  const program = async (password) => (await fetch(`${home}/api/collections`, { headers: basic(password) })).status;
  assert.equal(await program(PASSWORD), 200);
  const said = await command("accounts", desk.file, "--invite", "The reader", "--role", "reader");
  const body = new URLSearchParams({ password: "another horse battery", again: "another horse battery" });
  await fetch(home + said.match(/\/join\/\S+/)[0], { method: "POST", headers: { origin: home }, body, redirect: "manual" });
  assert.equal(await status(before, { method: "GET", path: "/survey" }), 303, "to the sign-in");
  assert.equal(await program(PASSWORD), 401);
  assert.equal(await program("another horse battery"), 200);
});
