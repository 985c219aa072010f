// What a mode makes of the blocks: tones, hatches, plates, legend and the words of the card. No map library here.

import type { Mode } from "./mode";
import type { BlockFacts, BlockPlan, City, OptionClass, Plan, Squares } from "./feed";
import { chanceAbove } from "./feed";
import { mark, plate, slant } from "./images";
import { inkOn, mixed, type Theme, type Token } from "./theme";
import { capital, chance, counted, figure, percent } from "./words";

export interface Look {
  fill: string;
  /** 0 to 1; doubt makes a block paler. */
  opacity: number;
  /** Pictures laid over the tone. */
  hatch?: string;
  marks?: Record<string, string>;
  /** Framed, so that it stands out even where its tone is near its neighbours'. */
  strong?: boolean;
  /** Plates for the whole city and for nearer views. */
  small?: string;
  large?: string;
}

export interface LegendItem {
  fill: string;
  pictures?: string[];
  opacity?: number;
  letters?: string;
  ink?: string;
  text: string;
  note?: string;
  /** A line across the legend before this item. */
  before?: string;
}

export interface LegendGroup {
  title?: string;
  items: LegendItem[];
}

export interface Painting {
  looks: Map<string, Look>;
  legend: LegendGroup[];
  /** One sentence over the legend: what is shown. */
  about: string;
  /** Facts of a block in words: term and text. */
  facts: (block: BlockFacts) => [string, string][];
}

export interface Wishes {
  mode: Mode;
  threshold: number;
  showDoubt: boolean;
  plan: Plan | null;
  other: Plan | null;
  squares: Squares | null;
}

/** Paints the city for a mode. */
export function painting(city: City, wishes: Wishes, theme: Theme): Painting {
  switch (wishes.mode) {
    case "density":
      return density(city, wishes, theme);
    case "fine":
      return fine(city, wishes.squares, theme);
    case "exceed":
      return exceed(city, wishes.threshold, theme);
    case "loss":
      return loss(city, theme);
    case "plan":
      return planned(city, wishes.plan, theme);
    case "compare":
      return compared(city, wishes.plan, wishes.other, theme);
    default:
      return plain(city, theme);
  }
}

const blocksOf = (city: City): BlockFacts[] => city.blocks.features.map((f) => f.properties);
const unit = (city: City): string => `new egg masses per ${city.perArea}`;

function looks(city: City, of: (block: BlockFacts) => Look): Map<string, Look> {
  return new Map(blocksOf(city).map((block) => [block.id, of(block)]));
}

/** How many blocks fall in each of `n` classes. */
function counts(city: City, n: number, classOf: (block: BlockFacts) => number | null): number[] {
  const found = new Array<number>(n).fill(0);
  for (const block of blocksOf(city)) {
    const at = classOf(block);
    if (at !== null) found[at]! += 1;
  }
  return found;
}

/** A block in the tone of its class, with its id and a figure; bare where nothing is known of it. */
function toned(theme: Theme, at: number | null, id: string, text: string | null, opacity = 1): Look {
  if (at === null) {
    return { fill: theme.of("map-built"), opacity: 1, small: haloed(theme, [id]), large: haloed(theme, [id]) };
  }
  const fill = theme.of(`d${at}`);
  const letters = (lines: string[]): string => lettered(theme, lines, fill, opacity);
  return { fill, opacity, small: letters([id]), large: letters(text === null ? [id] : [id, text]) };
}

const blocksCounted = (n: number): string => counted(n, "block", "blocks");

/** Letters on bare ground: id, and perhaps a second line. */
function haloed(theme: Theme, lines: string[]): string {
  return plate(lines, theme.of("ink"), "", theme.of("map-built"));
}

/** Letters on a tone, dark or light as it needs, with a halo of the tone so that hatches do not cut them. */
function lettered(theme: Theme, lines: string[], fill: string, opacity = 1): string {
  const ground = mixed(fill, theme.of("map-ground"), opacity);
  return plate(lines, inkOn(ground), "", ground);
}

const GREEN = new Set(["public park", "park", "recreation woodland", "timber"]);

function plain(city: City, theme: Theme): Painting {
  const green = (block: BlockFacts): boolean => GREEN.has(block.use);
  const n = counts(city, 2, (block) => (green(block) ? 1 : 0));
  return {
    about: "Blocks by their use.",
    looks: looks(city, (block) => ({
      fill: theme.of(green(block) ? "map-green" : "map-built"),
      opacity: 1,
      small: haloed(theme, [block.id]),
      large: haloed(theme, [block.id]),
    })),
    legend: [
      {
        items: [
          { fill: theme.of("map-built"), text: "Homes, schools and other built land", note: blocksCounted(n[0]!) },
          { fill: theme.of("map-green"), text: "Parks and woodland", note: blocksCounted(n[1]!) },
        ],
      },
    ],
    facts: (block) => [...densityFacts(city, block), ...surveyFacts(block)],
  };
}

// Density

/** Six breaks in doubling steps around the commonest action threshold, those below it rounded. */
export function breaks(city: City): number[] {
  const middle = commonest(blocksOf(city).flatMap((block) => (block.threshold === undefined ? [] : [block.threshold])));
  return [roundDown(middle / 8), roundDown(middle / 4), roundDown(middle / 2), middle, 2 * middle, 4 * middle];
}

/** The value that occurs most often; 250 where there is none. */
export function commonest(values: number[]): number {
  const times = new Map<number, number>();
  values.forEach((value) => times.set(value, (times.get(value) ?? 0) + 1));
  return [...times].sort((a, b) => b[1] - a[1] || a[0] - b[0])[0]?.[0] ?? 250;
}

function roundDown(value: number): number {
  const step = value < 20 ? 1 : value < 100 ? 5 : 25;
  return Math.floor(value / step) * step;
}

const classIn = (limits: number[], value: number): number => limits.filter((limit) => value >= limit).length;

/** "under 30", "30 to 60", "1,000 and more" */
function rangeWords(limits: number[], at: number, word: (v: number) => string): string {
  if (at === 0) return `under ${word(limits[0]!)}`;
  if (at === limits.length) return `${word(limits[at - 1]!)} and more`;
  return `${word(limits[at - 1]!)} to ${word(limits[at]!)}`;
}

const borrowed = (block: BlockFacts): boolean => block.method !== undefined && block.method !== "own plots";

/** Between 1 for a sure figure and 0.25 for one that spans a factor of thirty and more. */
function sureness(block: BlockFacts): number {
  const spread = Math.log((block.high ?? 1) + 1) - Math.log((block.low ?? 0) + 1);
  return Math.max(0.25, Math.min(1, 1.12 - spread / 4));
}

function density(city: City, wishes: Wishes, theme: Theme): Painting {
  const limits = breaks(city);
  const middle = limits[3]!;
  const classOf = (block: BlockFacts): number | null =>
    block.estimate === undefined ? null : classIn(limits, block.estimate);
  const n = counts(city, 7, classOf);
  const unsure = slant(theme.of("soft"), 9);
  const opacity = (block: BlockFacts): number =>
    wishes.showDoubt ? sureness(block) : borrowed(block) ? 0.62 : 1;
  return {
    about: `Estimated ${unit(city)} on each block.`,
    looks: looks(city, (block) => {
      const text = block.estimate === undefined ? null : figure(block.estimate);
      const look = toned(theme, classOf(block), block.id, text, opacity(block));
      return borrowed(block) ? { ...look, hatch: unsure } : look;
    }),
    legend: [
      {
        title: capital(unit(city)),
        items: n.map((count, at) => ({
          fill: theme.of(`d${at}`),
          text: rangeWords(limits, at, figure),
          note: blocksCounted(count),
          ...(at === 4 && { before: `action threshold ${figure(middle)} (most blocks)` }),
        })),
      },
      doubtLegend(city, wishes, theme, unsure),
    ],
    facts: (block) => [...densityFacts(city, block), ...surveyFacts(block)],
  };
}

// Between the plots

/** Share of its square that a dot fills: all of it when the range is narrow, a third when it spans a factor of fifty. */
export function dotSize(low: number, high: number): number {
  const spread = Math.log(high + 1) - Math.log(low + 1);
  return Math.max(0.3, Math.min(1, 1.25 - spread / 4));
}

/** Tone and size of every square. */
export function dots(city: City, squares: Squares): { c: number; r: number }[] {
  const limits = breaks(city);
  return squares.middle.map((middle, i) => ({ c: classIn(limits, middle), r: dotSize(squares.low[i]!, squares.high[i]!) }));
}

function fine(city: City, squares: Squares | null, theme: Theme): Painting {
  const limits = breaks(city);
  const n = new Array<number>(7).fill(0);
  squares?.middle.forEach((middle) => (n[classIn(limits, middle)]! += 1));
  const base = plain(city, theme);
  return {
    about: `Expected ${unit(city)} between the plots, square by square. The count model draws it from all plots around.`,
    looks: base.looks,
    legend: [
      {
        title: capital(unit(city)),
        items: n.map((count, at) => ({
          fill: theme.of(`d${at}`),
          text: rangeWords(limits, at, figure),
          note: counted(count, "square", "squares"),
          ...(at === 4 && { before: `action threshold ${figure(limits[3]!)} (most blocks)` }),
        })),
      },
      {
        title: "How sure",
        items: [
          { fill: theme.of("paper"), letters: "⬤", ink: theme.of("d4"), text: "Large dot: narrow range" },
          { fill: theme.of("paper"), letters: "•", ink: theme.of("d4"), text: "Small dot: the upper end is thirty times the lower, and more" },
        ],
      },
    ],
    facts: base.facts,
  };
}

function doubtLegend(city: City, wishes: Wishes, theme: Theme, unsure: string): LegendGroup {
  const without = blocksOf(city).filter(borrowed).length;
  const items: LegendItem[] = [
    {
      fill: theme.of("d3"),
      pictures: [unsure],
      opacity: 0.62,
      text: "No plot of its own: borrowed, less sure",
      note: blocksCounted(without),
    },
  ];
  if (wishes.showDoubt) {
    items.push(
      { fill: theme.of("d4"), opacity: 1, text: "Full tone: narrow range" },
      { fill: theme.of("d4"), opacity: 0.3, text: "Faint: the upper end is twenty times the lower" },
    );
  }
  return { title: "How sure", items };
}

function densityFacts(city: City, block: BlockFacts): [string, string][] {
  if (block.estimate === undefined) return [["Density", "not worked out yet"]];
  const facts: [string, string][] = [
    ["Density", `${figure(block.estimate)} ${unit(city)}`],
    ["Range", `${figure(block.low!)} to ${figure(block.high!)}, from ${block.method}`],
  ];
  if (block.threshold !== undefined) {
    const over = chanceAbove(block.q ?? [], block.threshold);
    facts.push(["Action threshold", `${figure(block.threshold)}; chance to be above it ${chance(over)}`]);
  }
  return facts;
}

function surveyFacts(block: BlockFacts): [string, string][] {
  return [
    ["Plots", block.plots === 0 ? "none" : figure(block.plots)],
    ["Consent", block.consent],
  ];
}

// Exceedance

const SURE = [0.1, 0.3, 0.5, 0.7, 0.9];
const EXCEED_WORDS = ["under 10 %", "10 to 30 %", "30 to 50 %", "50 to 70 %", "70 to 90 %", "over 90 %"];

function exceed(city: City, threshold: number, theme: Theme): Painting {
  const over = (block: BlockFacts): number | null => (block.q ? chanceAbove(block.q, threshold) : null);
  const classOf = (block: BlockFacts): number | null => {
    const p = over(block);
    return p === null ? null : classIn(SURE, p);
  };
  const n = counts(city, 6, classOf);
  const item = (at: number): LegendItem => ({
    fill: theme.of(`e${at}`),
    text: `chance ${EXCEED_WORDS[at]}`,
    note: blocksCounted(n[at]!),
  });
  const sum = n.slice(1, 5).reduce((a, b) => a + b, 0);
  return {
    about: `Chance that a block holds more than ${figure(threshold)} ${unit(city)}.`,
    looks: looks(city, (block) => {
      // The same plate for every threshold: while the slider moves, only feature states change.
      const plates = { small: haloed(theme, [block.id]), large: haloed(theme, [block.id]) };
      const at = classOf(block);
      return { fill: theme.of(at === null ? "map-built" : `e${at}`), opacity: 1, ...plates };
    }),
    legend: [
      { title: `Surely above ${figure(threshold)}`, items: [item(5)] },
      { title: `Undecided – ${blocksCounted(sum)}`, items: [4, 3, 2, 1].map(item) },
      { title: `Surely below ${figure(threshold)}`, items: [item(0)] },
    ],
    facts: (block) => {
      const p = over(block);
      const first: [string, string][] = p === null ? [] : [[`Above ${figure(threshold)}`, `chance ${chance(p)}`]];
      return [...first, ...densityFacts(city, block), ...surveyFacts(block)];
    },
  };
}

// Outlook

const LOSS = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7];

function loss(city: City, theme: Theme): Painting {
  const classOf = (block: BlockFacts): number | null => (block.loss === undefined ? null : classIn(LOSS, block.loss));
  const n = counts(city, 7, classOf);
  return {
    about: "Foliage of favoured trees that is expected to be lost if nothing is done.",
    looks: looks(city, (block) =>
      toned(theme, classOf(block), block.id, block.loss === undefined ? null : percent(block.loss)),
    ),
    legend: [
      {
        title: "Expected share of foliage lost",
        items: n.map((count, at) => ({
          fill: theme.of(`d${at}`),
          text: rangeWords(LOSS, at, percent),
          note: blocksCounted(count),
        })),
      },
    ],
    facts: (block) => (block.loss === undefined ? [] : [...lossFacts(block), ...densityFacts(city, block)]),
  };
}

function lossFacts(block: BlockFacts): [string, string][] {
  return [
    ["If nothing is done", `${percent(block.loss ?? 0)} of the favoured foliage is expected to be lost`],
    ["Over the tolerance", `chance ${chance(block.chance ?? 0)} to lose more than ${percent(block.tolerance ?? 0)}`],
  ];
}

// Plans

/** Tone and text colour of an option: the paper's, unless the theme has its own for the heaviest act. */
function toneOf(theme: Theme, style: OptionClass): { fill: string; ink: string } {
  const heaviest = style.code.split("+")[0] ?? "";
  return {
    fill: theme.own(`tone-${heaviest}` as Token) ?? style.fill,
    ink: theme.own(`tone-ink-${heaviest}` as Token) ?? style.ink,
  };
}

/** Watched blocks go without a letter: they are most of a city, and nothing is done there. */
function optionLook(theme: Theme, style: OptionClass, id: string, letters: string): Look {
  const { fill, ink } = toneOf(theme, style);
  return {
    fill,
    opacity: 1,
    marks: Object.fromEntries(style.marks.map((act) => [act, mark(act, ink)])),
    ...(letters !== "W" && { small: plate([letters], ink, "", fill) }),
    large: plate(letters === "W" ? [id] : [id, letters], ink, "", fill),
  };
}

function optionItem(theme: Theme, style: OptionClass, note: string): LegendItem {
  const { fill, ink } = toneOf(theme, style);
  return {
    fill,
    pictures: style.marks.map((act) => mark(act, ink)),
    letters: style.code,
    ink,
    text: capital(style.option),
    note,
  };
}

const stylesOf = (plan: Plan): Map<string, OptionClass> => new Map(plan.classes.map((c) => [c.option, c]));

function planned(city: City, plan: Plan | null, theme: Theme): Painting {
  if (!plan) return { ...plain(city, theme), about: "No plan has been made yet." };
  const styles = stylesOf(plan);
  return {
    about: "What the plan does in each block.",
    looks: looks(city, (block) => {
      const style = styles.get(plan.blocks[block.id]?.option ?? "");
      return style
        ? optionLook(theme, style, block.id, style.code)
        : { fill: theme.of("paper"), opacity: 1, large: haloed(theme, [block.id]) };
    }),
    legend: [{ items: plan.classes.map((c) => optionItem(theme, c, blocksCounted(c.blocks))) }],
    facts: (block) => planFacts(plan.blocks[block.id], block),
  };
}

function planFacts(of: BlockPlan | undefined, block: BlockFacts): [string, string][] {
  if (!of) return [["Plan", "this block is not in it"]];
  const facts: [string, string][] = [
    ["Plan", `${of.option} (${of.code})`],
    ["Over the tolerance", `chance ${chance(of.chance)}; ${chance(of.untreated)} if nothing is done`],
    ["Cost", of.sprayed ? `${of.cost}, ${of.sprayed} flown` : `${of.cost}, nothing flown`],
    ["Why", of.why],
  ];
  if (of.runnerUp) facts.push(["Next best", of.runnerUp]);
  facts.push(["Consent", block.consent]);
  return facts;
}

function compared(city: City, from: Plan | null, to: Plan | null, theme: Theme): Painting {
  if (!from || !to) return planned(city, from ?? to, theme);
  const styles = new Map([...stylesOf(from), ...stylesOf(to)]);
  const option = (plan: Plan, id: string): string => plan.blocks[id]?.option ?? "";
  const differs = (block: BlockFacts): boolean => option(from, block.id) !== option(to, block.id);
  const changed = blocksOf(city).filter(differs);
  const used = [...stylesOf(to).values()].filter((c) => changed.some((b) => option(to, b.id) === c.option));
  const now = (c: OptionClass): string =>
    blocksCounted(changed.filter((b) => option(to, b.id) === c.option).length);
  const same = blocksOf(city).length - changed.length;
  return {
    about: `${capital(counted(changed.length, "block differs", "blocks differ"))} between the two plans.`,
    looks: looks(city, (block) => {
      const style = styles.get(option(to, block.id));
      if (!differs(block) || !style) return { fill: theme.of("panel"), opacity: 1 };
      const before = from.blocks[block.id]?.code ?? "–";
      const { fill, ink } = toneOf(theme, style);
      const letters = plate([before, `→ ${style.code}`], ink, "", fill);
      const small = plate([style.code], ink, "", fill);
      return { ...optionLook(theme, style, block.id, style.code), small, large: letters, strong: true };
    }),
    legend: [
      { title: "New option where the plans differ", items: used.map((c) => optionItem(theme, c, now(c))) },
      { items: [{ fill: theme.of("panel"), text: "Same in both plans", note: blocksCounted(same) }] },
    ],
    facts: (block) => [
      ["First plan", from.blocks[block.id]?.option ?? "not in it"],
      ["Second plan", to.blocks[block.id]?.option ?? "not in it"],
      ...planFacts(to.blocks[block.id], block).slice(1, 4),
    ],
  };
}
