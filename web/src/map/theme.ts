// Colours of the map, read from the page's custom properties so that map and page never part.

/** Custom properties, and what stands in where the page does not define one. */
const TOKENS = {
  paper: "#ffffff",
  panel: "#f4f5f3",
  ink: "#1c2429",
  soft: "#556067",
  faint: "#6b767d",
  rule: "#c9cfd2",
  accent: "#24506b",
  "accent-pale": "#bcd3df",
  guard: "#8a3b12",
  "guard-pale": "#f8eee6",
  "map-ground": "#f1efe8",
  "map-water": "#cfe0e8",
  "map-shore": "#8fb0c0",
  "map-built": "#fbfaf6",
  "map-green": "#e3ebd8",
  "map-edge": "#a9aaa2",
  "tree-susceptible": "#2f6b3a",
  "tree-resistant": "#8aa05a",
  "tree-other": "#9a9a94",
} as const;

export type Token = keyof typeof TOKENS | `d${number}` | `e${number}` | `tone-${string}` | `tone-ink-${string}`;

export class Theme {
  private readonly known = new Map<string, string>();
  private readonly probe: HTMLElement;
  private readonly pixel: CanvasRenderingContext2D | null;

  constructor(host: HTMLElement) {
    this.probe = document.createElement("span");
    this.probe.hidden = true;
    host.append(this.probe);
    const canvas = document.createElement("canvas");
    canvas.width = canvas.height = 1;
    this.pixel = canvas.getContext("2d", { willReadFrequently: true });
  }

  /** The colour as #rrggbb; whatever way the page writes it. */
  of(token: Token): string {
    const kept = this.known.get(token);
    if (kept) return kept;
    const spare = (TOKENS as Record<string, string>)[token] ?? "#888888";
    this.probe.style.color = `var(--${token}, ${spare})`;
    const colour = this.hex(getComputedStyle(this.probe).color);
    this.known.set(token, colour);
    return colour;
  }

  /** The colour if the page defines it in this theme. */
  own(token: Token): string | null {
    return getComputedStyle(this.probe).getPropertyValue(`--${token}`).trim() ? this.of(token) : null;
  }

  forget(): void {
    this.known.clear();
  }

  private hex(colour: string): string {
    if (!this.pixel) return "#888888";
    this.pixel.fillStyle = colour;
    this.pixel.fillRect(0, 0, 1, 1);
    const [r, g, b] = this.pixel.getImageData(0, 0, 1, 1).data;
    return `#${[r, g, b].map((part) => (part ?? 0).toString(16).padStart(2, "0")).join("")}`;
  }
}

/** Calls back whenever the page's theme changes; returns how to stop. */
export function onThemeChange(changed: () => void): () => void {
  const observer = new MutationObserver(changed);
  observer.observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme", "class"] });
  const dark = matchMedia("(prefers-color-scheme: dark)");
  dark.addEventListener("change", changed);
  return () => {
    observer.disconnect();
    dark.removeEventListener("change", changed);
  };
}

function parts(hex: string): number[] {
  return [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
}

/** A colour laid over another with an opacity. */
export function mixed(over: string, under: string, opacity: number): string {
  const below = parts(under);
  const blend = parts(over).map((part, i) => Math.round(part * opacity + below[i]! * (1 - opacity)));
  return `#${blend.map((part) => part.toString(16).padStart(2, "0")).join("")}`;
}

/** Dark or light letters, whichever stand out more (relative luminance of WCAG 2.1). */
export function inkOn(ground: string): string {
  const linear = (part: number): number => (part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
  const [r, g, b] = parts(ground).map((part) => linear(part / 255)) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 0.19 ? "#1c2429" : "#ffffff";
}
