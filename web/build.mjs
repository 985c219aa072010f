// Builds the scripts, styles, icons and fonts of the desk into a folder: node build.mjs FOLDER
//
// Every file but manifest.json carries a hash of its content in its name, so that browsers may keep it for ever;
// manifest.json says which name stands for which. Beside each text lie its .br and .gz.
// Nothing is fetched: all of it comes from this folder and node_modules.

import { build } from "esbuild";
import { createHash } from "node:crypto";
import { mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { basename, dirname, extname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { brotliCompress, constants, gzip } from "node:zlib";

const here = dirname(fileURLToPath(import.meta.url));
const modules = join(here, "node_modules");
const out = resolve(process.argv[2] ?? join(here, "dist"));
const FONT = "@fontsource-variable/source-sans-3";
/** Alphabets of the font that are taken along. */
const ALPHABETS = ["latin", "latin-ext"];
/** The terms of the MIT licence, for packages that declare it without a licence file. */
const MIT_TERMS = `Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated
documentation files (the "Software"), to deal in the Software without restriction, including without limitation the
rights to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and to permit
persons to whom the Software is furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all copies or substantial portions of the
Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT NOT LIMITED TO THE
WARRANTIES OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE AUTHORS OR
COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR
OTHERWISE, ARISING FROM, OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE SOFTWARE.`;
/** Packages that hold types only; none of their text is in the bundle. */
const TYPES_ONLY = /^node_modules\/@types\//;

const manifest = {};

/** Writes a file under a name with its hash, and notes it in the manifest; the hashed name. */
async function keep(name, content) {
  const hash = createHash("sha256").update(content).digest("hex").slice(0, 10);
  const hashed = `${basename(name, extname(name))}-${hash}${extname(name)}`;
  await writeFile(join(out, hashed), content);
  manifest[name] = hashed;
  return hashed;
}

/** Bundles one entry; the text of its one result. */
async function bundle(options) {
  const result = await build({
    absWorkingDir: here,
    bundle: true,
    minify: true,
    format: "esm",
    target: ["es2022"],
    legalComments: "none",
    external: ["*.woff2"],
    write: false,
    logLevel: "warning",
    ...options,
  });
  return result.outputFiles[0].contents;
}

/** The font's files, and the rules that declare them. */
async function fonts() {
  const ranges = JSON.parse(await readFile(join(modules, FONT, "unicode.json"), "utf8"));
  const rules = [];
  for (const alphabet of ALPHABETS) {
    const file = `source-sans-3-${alphabet}-wght-normal.woff2`;
    const hashed = await keep(`source-sans-3-${alphabet}.woff2`, await readFile(join(modules, FONT, "files", file)));
    rules.push(
      `@font-face{font-family:"Source Sans 3";font-weight:200 900;font-display:swap;` +
        `src:url("./${hashed}") format("woff2");unicode-range:${ranges[alphabet]}}`,
    );
  }
  return rules.join("\n");
}

/** One sprite of the icons named in icons.json: <svg><use href="icons.svg#name"/></svg>. */
async function icons() {
  const names = JSON.parse(await readFile(join(here, "icons.json"), "utf8"));
  const symbols = await Promise.all(
    names.map(async (name) => {
      const svg = await readFile(join(modules, "lucide-static/icons", `${name}.svg`), "utf8");
      const inside = svg.slice(svg.indexOf(">", svg.indexOf("<svg")) + 1, svg.lastIndexOf("</svg>"));
      return (
        `<symbol id="${name}" viewBox="0 0 24 24" fill="none" stroke="currentColor" stroke-width="2" ` +
        `stroke-linecap="round" stroke-linejoin="round">${inside.replace(/\s*\n\s*/g, "")}</symbol>`
      );
    }),
  );
  await keep("icons.svg", `<svg xmlns="http://www.w3.org/2000/svg">${symbols.join("")}</svg>`);
}

/** The licence text of one package. */
async function licence(path) {
  const about = JSON.parse(await readFile(join(here, path, "package.json"), "utf8"));
  const file = (await readdir(join(here, path))).find((name) => /^licen[cs]e(\.|$)/i.test(name));
  if (!file && about.license !== "MIT") throw new Error(`${path} has no licence text`);
  const author = (typeof about.author === "string" ? about.author : about.author?.name) ?? "the authors";
  const text = file ? await readFile(join(here, path, file), "utf8") : `Copyright (c) ${author}\n\n${MIT_TERMS}`;
  return `${about.name} ${about.version} (${about.license})\n\n${text.trim()}\n`;
}

/** The licences of all packages that the bundle is made from, those inside their bundles included. */
async function licences() {
  const lock = JSON.parse(await readFile(join(here, "package-lock.json"), "utf8"));
  const shipped = Object.entries(lock.packages)
    .filter(([path, about]) => path && !about.dev && !TYPES_ONLY.test(path))
    .map(([path]) => path)
    .sort();
  const texts = await Promise.all(shipped.map(licence));
  await keep("licences.txt", texts.join(`\n${"-".repeat(78)}\n\n`));
}

/** Puts .br and .gz beside a text. */
async function compress(name) {
  const content = await readFile(join(out, name));
  const quality = { params: { [constants.BROTLI_PARAM_QUALITY]: 9 } };
  await writeFile(join(out, `${name}.br`), await promisify(brotliCompress)(content, quality));
  await writeFile(join(out, `${name}.gz`), await promisify(gzip)(content, { level: 9 }));
}

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });

const declared = await fonts();
const styles = (contents) => ({ stdin: { contents, loader: "css", resolveDir: join(here, "styles") } });
await keep("desk.css", await bundle(styles(`@import "./desk.css";\n${declared}`)));
await keep("round.css", await bundle(styles(`@import "./round.css";`)));
await keep("map.css", await bundle(styles(`@import "./map.css";`)));
// The map's worker is a file of its own, so that the page needs no blob: workers; the map is told its name.
const worker = await keep(
  "map-worker.js",
  await bundle({ entryPoints: ["node_modules/maplibre-gl/dist/maplibre-gl-worker.mjs"] }),
);
await keep("map.js", await bundle({ entryPoints: ["src/map.ts"], define: { MAP_WORKER: JSON.stringify(worker) } }));
await keep("desk.js", await bundle({ entryPoints: ["src/desk.ts"] }));
await keep("round.js", await bundle({ entryPoints: ["src/round.ts"] }));
await keep("round-worker.js", await bundle({ entryPoints: ["src/round-worker.ts"] }));
await icons();
for (const name of await readdir(join(here, "public"))) {
  await keep(name, await readFile(join(here, "public", name)));
}
await licences();
await Promise.all(Object.values(manifest).filter((name) => !name.endsWith(".woff2")).map(compress));
await writeFile(join(out, "manifest.json"), `${JSON.stringify(manifest, null, 1)}\n`);
