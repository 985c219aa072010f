// Runs the tests of the screens: node tests/desk/run.mjs [COMMAND]. The last lines are the counts of node's test runner.

import { spawn } from "node:child_process";
import { readdir } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const binary = resolve(process.argv[2] ?? join(here, "../../target/debug/crownhold"));
const files = (await readdir(here)).filter((name) => name.endsWith(".test.mjs")).sort();

// Two files at a time, each with a desk of its own: while one waits for a plan, the other looks at pages.
const options = ["--test", "--test-reporter=spec", "--test-concurrency=2"];
const child = spawn(process.execPath, [...options, ...files.map((name) => join(here, name))], {
  stdio: "inherit",
  env: { ...process.env, CROWNHOLD: binary },
});
child.on("exit", (code) => process.exit(code ?? 1));
