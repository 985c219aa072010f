// What the desk sends to the phone, and what the phone keeps.

export interface Stop {
  tree: string;
  block: string | null;
  species: string | null;
  trunk: string | null;
  private: boolean;
  /** When work there begins, as planned. */
  at: string;
  /** Longitude and latitude; null where the tree's place is not known. */
  place: [number, number] | null;
}

export interface Round {
  team: string;
  work: string;
  back: string;
  stops: Stop[];
}

/** A day's rounds as the desk gives them, with the day of this phone on which they came. */
export interface Today {
  day: string;
  dayWords: string;
  who: string;
  rounds: Round[];
  outlines: { id: string; shape: [number, number][][][] | null }[];
  blocks: string[];
  /** Trees with the works that were done there today by anybody. */
  done: Record<string, string[]>;
  cautions: Record<string, string>;
  /** Place among the counts that is most likely wanted. */
  likely: number;
  /** The phone's own day when they came. */
  came: string;
}

/** A visit as it is kept on the phone until well after it was sent. */
export interface Visit {
  id: string;
  day: string;
  work: string;
  tree: string | null;
  block: string | null;
  counts: number[];
  minutes: number | null;
  who: string;
  note: string;
  at: [number, number] | null;
  /** waiting: not sent yet; kept: the desk has it; refused: the desk does not take it. */
  state: "waiting" | "kept" | "refused";
  why?: string;
  /** When it was saved, by the phone's clock, ms. */
  saved: number;
}

/** What is counted at a tree, by work; none where only doing it counts. */
export function classes(work: string): string[] {
  if (work.startsWith("scrape")) return ["Taken, from the ground", "Taken, higher up", "Left out of reach"];
  if (work === "put bands up") return [];
  return ["Larvae, black heads", "Larvae, yellow heads", "Pupae", "Egg masses", "Dead, fungus", "Dead, virus"];
}

/** Most that one count may be: what a tree can hold, with room. */
export const MOST = 99_999;
