// Pictures the map asks for by name: patterns and label plates, drawn when first needed.
// The name says all there is to draw, so that a change of theme is a change of names.

export interface Picture {
  width: number;
  height: number;
  data: Uint8ClampedArray;
}

/** Drawn at twice the size for sharp screens. */
export const PIXEL_RATIO = 2;
const FONT = '"Source Sans 3", "Segoe UI", system-ui, sans-serif';
const SEPARATOR = "|";

export const crossHatch = (line: string, under: string): string => ["cross", line, under].join(SEPARATOR);
export const slant = (line: string, gap: number): string => ["slant", line, gap].join(SEPARATOR);
export const mark = (act: string, ink: string): string => ["mark", act, ink].join(SEPARATOR);
/** A plate with one or two lines; an empty ground draws letters with a halo of `edge` instead. */
export const plate = (lines: string[], ink: string, ground: string, edge: string): string =>
  ["plate", lines.map(encodeURIComponent).join("/"), ink, ground, edge].join(SEPARATOR);

/** The picture of a name; null for names that are not ours. */
export function picture(name: string): Picture | null {
  const [kind, a = "", b = "", c = "", d = ""] = name.split(SEPARATOR);
  switch (kind) {
    case "cross":
      return tile(10, (pen) => {
        for (const [ink, width] of [[b, 2.6], [a, 1.1]] as const) {
          stroke(pen, ink, width, [[-2, -2, 12, 12], [12, -2, -2, 12]]);
        }
      });
    case "slant":
      return tile(Number(b), (pen, size) => faintly(pen, () => slanted(pen, a, size, 1)));
    case "mark":
      return markTile(a, b);
    case "plate":
      return drawPlate(a.split("/").map(decodeURIComponent), b, c, d);
    default:
      return null;
  }
}

/** Slanted lines for scraping, level lines for bands, dots for ground Btk: as on paper. */
function markTile(act: string, ink: string): Picture | null {
  if (act === "scraping") return tile(8, (pen, size) => faintly(pen, () => slanted(pen, ink, size, 1)));
  if (act === "bands") return tile(7, (pen) => faintly(pen, () => stroke(pen, ink, 1, [[-1, 3.5, 8, 3.5]])));
  return tile(8, (pen) => faintly(pen, () => dot(pen, ink)));
}

function dot(pen: CanvasRenderingContext2D, ink: string): void {
  pen.fillStyle = ink;
  pen.beginPath();
  pen.arc(4, 4, 1.3, 0, 2 * Math.PI);
  pen.fill();
}

/** Patterns are seen, but letters come first. */
function faintly(pen: CanvasRenderingContext2D, draw: () => void): void {
  pen.globalAlpha = 0.55;
  draw();
  pen.globalAlpha = 1;
}

function slanted(pen: CanvasRenderingContext2D, ink: string, size: number, width: number): void {
  stroke(pen, ink, width, [
    [-1, size + 1, size + 1, -1],
    [-1, 1, 1, -1],
    [size - 1, size + 1, size + 1, size - 1],
  ]);
}

function stroke(pen: CanvasRenderingContext2D, ink: string, width: number, lines: number[][]): void {
  pen.strokeStyle = ink;
  pen.lineWidth = width;
  pen.beginPath();
  for (const [x1, y1, x2, y2] of lines as [number, number, number, number][]) {
    pen.moveTo(x1, y1);
    pen.lineTo(x2, y2);
  }
  pen.stroke();
}

function canvas(width: number, height: number): CanvasRenderingContext2D | null {
  const made = document.createElement("canvas");
  made.width = Math.ceil(width * PIXEL_RATIO);
  made.height = Math.ceil(height * PIXEL_RATIO);
  const pen = made.getContext("2d");
  pen?.scale(PIXEL_RATIO, PIXEL_RATIO);
  return pen;
}

function taken(pen: CanvasRenderingContext2D): Picture {
  const { width, height } = pen.canvas;
  return { width, height, data: pen.getImageData(0, 0, width, height).data };
}

function tile(size: number, draw: (pen: CanvasRenderingContext2D, size: number) => void): Picture | null {
  const pen = canvas(size, size);
  if (!pen) return null;
  draw(pen, size);
  return taken(pen);
}

const LINE_HEIGHT = 14;
const fontOf = (line: number): string => `${line === 0 ? 650 : 500} ${line === 0 ? 12.5 : 11.5}px ${FONT}`;

function drawPlate(lines: string[], ink: string, ground: string, edge: string): Picture | null {
  const ruler = canvas(1, 1);
  if (!ruler) return null;
  const width = Math.max(
    ...lines.map((text, i) => {
      ruler.font = fontOf(i);
      return ruler.measureText(text).width;
    }),
  );
  const size = { width: Math.ceil(width) + 10, height: lines.length * LINE_HEIGHT + 5 };
  const pen = canvas(size.width, size.height);
  if (!pen) return null;
  if (ground) {
    pen.fillStyle = ground;
    pen.strokeStyle = edge;
    pen.beginPath();
    pen.roundRect(0.5, 0.5, size.width - 1, size.height - 1, 3);
    pen.fill();
    if (edge) pen.stroke();
  }
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.lineJoin = "round";
  lines.forEach((text, i) => {
    const y = 2.5 + LINE_HEIGHT * (i + 0.5);
    pen.font = fontOf(i);
    if (!ground) {
      pen.strokeStyle = edge;
      pen.lineWidth = 3;
      pen.strokeText(text, size.width / 2, y);
    }
    pen.fillStyle = ink;
    pen.fillText(text, size.width / 2, y);
  });
  return taken(pen);
}

/** Loads the face that plates are drawn with; without it they would be drawn in another one. */
export async function loadFace(): Promise<void> {
  await Promise.allSettled([0, 1].map((line) => document.fonts.load(fontOf(line))));
}
