// The JSON that the server sends: twins of crates/crownhold-app/src/feed.

import type { FeatureCollection, MultiPolygon, Point } from "geojson";

export interface BlockFacts {
  id: string;
  name: string;
  use: string;
  area: string;
  consent: string;
  neighbourhood: string | null;
  plots: number;
  label: [number, number] | null;
  /** Only where the densities could be worked out; all of these or none. */
  method?: string;
  estimate?: number;
  low?: number;
  high?: number;
  /** Quantiles of the density draws in even steps from 0 to 1. */
  q?: number[];
  threshold?: number;
  loss?: number;
  chance?: number;
  tolerance?: number;
}

export interface NoSprayFacts {
  id: string;
  kind: string;
  buffer: string;
  /** The area's own distance in metres; null where that of its kind applies. */
  bufferMetres: number | null;
  note: string;
}

export interface PlotFacts {
  id: string;
  block: string;
  method: string;
  area: string | null;
  visited: boolean;
  new: number | null;
  found: string | null;
}

export interface City {
  units: "us" | "metric";
  perArea: "acre" | "hectare";
  bounds: [number, number, number, number] | null;
  blocks: FeatureCollection<MultiPolygon, BlockFacts>;
  noSpray: FeatureCollection<MultiPolygon, NoSprayFacts>;
  plots: FeatureCollection<Point, PlotFacts>;
}

export interface Trees {
  classes: string[];
  lon: number[];
  lat: number[];
  class: number[];
}

/** Squares between the plots, as columns. Densities are new egg masses per `perArea` of the city. */
export interface Squares {
  /** Side, metres. */
  side: number;
  lon: number[];
  lat: number[];
  middle: number[];
  low: number[];
  high: number[];
}

export interface OptionClass {
  option: string;
  code: string;
  fill: string;
  ink: string;
  marks: string[];
  blocks: number;
}

export interface BlockPlan {
  option: string;
  code: string;
  chance: number;
  untreated: number;
  sprayed: string | null;
  cost: string;
  why: string;
  runnerUp: string | null;
}

export interface Plan {
  classes: OptionClass[];
  blocks: Record<string, BlockPlan>;
}

/** Chance that a block's density is above a threshold, by linear interpolation in its quantiles. */
export function chanceAbove(quantiles: number[], threshold: number): number {
  const last = quantiles.length - 1;
  if (last < 1 || threshold < quantiles[0]!) return 1;
  if (threshold >= quantiles[last]!) return 0;
  let high = quantiles.findIndex((value) => value > threshold);
  const low = quantiles[high - 1]!;
  const step = quantiles[high]! - low;
  return 1 - (high - 1 + (step > 0 ? (threshold - low) / step : 0)) / last;
}
