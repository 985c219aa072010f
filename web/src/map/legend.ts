// The legend: HTML beside the map, so that it can be read aloud and copied.

import { el } from "../dom";
import { PIXEL_RATIO, picture } from "./images";
import type { LegendGroup, LegendItem } from "./painting";

const SIZE = { width: 34, height: 20 };

/** A drawn sample of a tone with its patterns and letters. */
function swatch(item: LegendItem): HTMLCanvasElement {
  const canvas = el("canvas", { class: "cm-swatch", "aria-hidden": "true" });
  canvas.width = SIZE.width * PIXEL_RATIO;
  canvas.height = SIZE.height * PIXEL_RATIO;
  const pen = canvas.getContext("2d");
  if (!pen) return canvas;
  pen.globalAlpha = item.opacity ?? 1;
  pen.fillStyle = item.fill;
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.globalAlpha = 1;
  for (const name of item.pictures ?? []) fillWith(pen, name);
  if (item.letters && item.ink) letter(pen, item.letters, item.ink, item.fill);
  return canvas;
}

function fillWith(pen: CanvasRenderingContext2D, name: string): void {
  const drawn = picture(name);
  if (!drawn) return;
  const tile = document.createElement("canvas");
  tile.width = drawn.width;
  tile.height = drawn.height;
  tile.getContext("2d")?.putImageData(new ImageData(new Uint8ClampedArray(drawn.data), drawn.width), 0, 0);
  const pattern = pen.createPattern(tile, "repeat");
  if (!pattern) return;
  pen.fillStyle = pattern;
  pen.fillRect(0, 0, pen.canvas.width, pen.canvas.height);
}

function letter(pen: CanvasRenderingContext2D, letters: string, ink: string, ground: string): void {
  const middle = { x: pen.canvas.width / 2, y: pen.canvas.height / 2 };
  const size = letters.length > 4 ? 9 : 11;
  pen.font = `650 ${size * PIXEL_RATIO}px "Source Sans 3", system-ui, sans-serif`;
  const width = pen.measureText(letters).width + 6;
  pen.fillStyle = ground;
  pen.fillRect(middle.x - width / 2, middle.y - 7 * PIXEL_RATIO, width, 14 * PIXEL_RATIO);
  pen.fillStyle = ink;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText(letters, middle.x, middle.y + 1);
}

function row(item: LegendItem): HTMLElement[] {
  const line = el("li", {}, swatch(item), el("span", { class: "cm-what" }, item.text));
  if (item.note) line.append(el("span", { class: "cm-note" }, item.note));
  return item.before ? [el("li", { class: "cm-before" }, item.before), line] : [line];
}

/** All groups as lists. */
export function legendOf(groups: LegendGroup[]): HTMLElement[] {
  return groups.flatMap((group) => {
    const list = el("ul", { "aria-label": group.title ?? "Legend" }, ...group.items.flatMap(row));
    return group.title ? [el("p", { class: "cm-head" }, group.title), list] : [list];
  });
}
