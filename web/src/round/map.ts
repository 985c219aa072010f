// The round as a drawing: outlines, way, trees, and where one stands. North is up; nothing is asked of anybody.

import { here, offset } from "./here";
import { isDone, open, state } from "./state";
import type { Stop } from "./types";

const SVG = "http://www.w3.org/2000/svg";
const SIZE = 360;
const EDGE = 22;
/** What is drawn around the open tree, metres to each side. */
const NEAR = 120;
/** Steps that a scale bar may have, metres. */
const STEPS = [10, 20, 50, 100, 200, 500, 1000, 2000];

function draw<K extends keyof SVGElementTagNameMap>(tag: K, attributes: Record<string, string | number>, text = ""): SVGElementTagNameMap[K] {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
  made.textContent = text;
  return made;
}

type Project = (place: [number, number]) => [number, number];

/** The frame: all trees of the round, or the surroundings of the open one. */
function frame(stops: Stop[]): { project: Project; scale: number } | undefined {
  const places = stops.flatMap((s) => (s.place ? [s.place] : []));
  const origin = (state.near && state.open?.place) || places[0];
  if (!origin) return undefined;
  const around = state.near && state.open?.place ? [[-NEAR, -NEAR], [NEAR, NEAR]] : places.map((p) => offset(origin, p));
  const [xs, ys] = [around.map((p) => p[0] ?? 0), around.map((p) => p[1] ?? 0)];
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = (SIZE - 2 * EDGE) / Math.max(right - left, high - low, 40);
  const [midX, midY] = [(left + right) / 2, (low + high) / 2];
  const project: Project = (place) => {
    const [x, y] = offset(origin, place);
    return [SIZE / 2 + (x - midX) * scale, SIZE / 2 - (y - midY) * scale];
  };
  return { project, scale };
}

const point = ([x, y]: [number, number]) => `${x.toFixed(1)},${y.toFixed(1)}`;

/** The map; a touch on a tree opens it. */
export function roundMap(opened: () => void): SVGSVGElement | undefined {
  const stops = state.round?.stops ?? [];
  const found = frame(stops);
  if (!found) return undefined;
  const { project, scale } = found;
  const words = `Map of the round, ${stops.length} trees; the list has them in words.`;
  const map = draw("svg", { viewBox: `0 0 ${SIZE} ${SIZE}`, class: "round-map", role: "img", "aria-label": words });
  for (const { id, shape } of state.today?.outlines ?? []) map.append(...outline(id, shape ?? [], project));
  const drawn = stops.flatMap((stop) => (stop.place ? [{ stop, at: project(stop.place) }] : []));
  map.append(draw("polyline", { points: drawn.map((d) => point(d.at)).join(" "), class: "way" }));
  for (const { stop, at } of drawn) map.append(tree(stop, at));
  const stand = here();
  if (stand) map.append(...standing(project([stand.lon, stand.lat]), stand.within * scale));
  map.append(...scaleBar(scale));
  map.addEventListener("click", (event) => {
    const name = (event.target as Element).getAttribute("data-tree");
    const stop = stops.find((s) => s.tree === name);
    if (stop) {
      open(stop);
      opened();
    }
  });
  return map;
}

function outline(id: string, shape: [number, number][][][], project: Project): SVGElement[] {
  const d = shape.flat().map((ring) => `M${ring.map((p) => point(project(p))).join("L")}Z`).join("");
  const first = shape[0]?.[0] ?? [];
  const all = first.map(project);
  const middle: [number, number] = [all.reduce((s, p) => s + p[0], 0) / all.length, all.reduce((s, p) => s + p[1], 0) / all.length];
  const name = draw("text", { x: middle[0], y: middle[1], class: "block-name" }, id);
  return all.length > 0 ? [draw("path", { d, class: "outline" }), name] : [];
}

function tree(stop: Stop, [cx, cy]: [number, number]): SVGElement {
  const is = stop === state.open ? "open" : isDone(stop) ? "done" : "to-do";
  const group = draw("g", { class: `tree ${is}` });
  // A thumb's width answers, not only the dot.
  group.append(draw("circle", { cx, cy, r: 14, class: "touch", "data-tree": stop.tree }));
  group.append(draw("circle", { cx, cy, r: is === "open" ? 8 : 4.5, "data-tree": stop.tree }));
  return group;
}

function standing([cx, cy]: [number, number], within: number): SVGElement[] {
  return [draw("circle", { cx, cy, r: Math.max(within, 6), class: "within" }), draw("circle", { cx, cy, r: 5, class: "here" })];
}

function scaleBar(scale: number): SVGElement[] {
  const metres = STEPS.findLast((step) => step * scale <= SIZE / 3) ?? STEPS[0] ?? 10;
  const [y, x] = [SIZE - 8, 10];
  return [
    draw("path", { d: `M${x},${y - 5}V${y}H${x + metres * scale}V${y - 5}`, class: "scale" }),
    draw("text", { x: x + metres * scale + 5, y, class: "scale-words" }, `${metres} m`),
  ];
}
