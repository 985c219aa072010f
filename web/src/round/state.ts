// What the form knows at any moment, and the visits that come of it.

import { alone, dayOfWork, type Missed } from "./desk";
import { here } from "./here";
import { keepChoice, put, removeWaiting } from "./store";
import { classes, MOST, type Round, type Stop, type Today, type Visit } from "./types";

export type View = "tree" | "map" | "list";

export const state = {
  today: undefined as Today | undefined,
  visits: [] as Visit[],
  round: undefined as Round | undefined,
  view: "tree" as View,
  /** The tree that is open; undefined once the round is done. */
  open: undefined as Stop | undefined,
  counts: [] as number[],
  /** The count that the keys write to. */
  field: 0,
  /** The next key begins the count anew. */
  fresh: true,
  note: "",
  /** A photo of the open tree. */
  photo: undefined as Blob | undefined,
  /** Photos that lie on the phone yet. */
  photos: 0,
  /** Trees left for later, in this sitting. */
  later: new Set<string>(),
  /** What went wrong on this phone. */
  trouble: "",
  missed: undefined as Missed | undefined,
  /** What was just saved, and may be taken back. */
  last: undefined as Visit | undefined,
  /** The map shows the surroundings of the open tree only. */
  near: false,
};

const key = (round: Round, today: Today) => [today.day, round.work, round.team].join("\n");

/** Takes the round up that was chosen before, or the only one, or the one that bears the user's name. */
export function takeUp(choice: string | undefined): void {
  const { today } = state;
  if (!today) return;
  const { rounds } = today;
  const own = rounds.filter((r) => r.team === today.who);
  const only = rounds.length === 1 ? rounds[0] : own.length === 1 ? own[0] : undefined;
  state.round = rounds.find((r) => key(r, today) === choice) ?? only;
  openNext();
}

export async function choose(round: Round): Promise<void> {
  state.round = round;
  openNext();
  if (state.today) await keepChoice(key(round, state.today));
}

/** Was the work of the round done at a tree, here or by others? */
export function isDone(stop: Stop): boolean {
  const { today, round } = state;
  if (!today || !round) return false;
  if (today.done[stop.tree]?.includes(round.work)) return true;
  const day = dayOfWork(today);
  return state.visits.some((v) => v.tree === stop.tree && v.day === day && v.work === round.work && v.state !== "refused");
}

/** Trees to go to yet, those left for later at the end. */
export function toDo(): Stop[] {
  const undone = (state.round?.stops ?? []).filter((s) => !isDone(s));
  return [...undone.filter((s) => !state.later.has(s.tree)), ...undone.filter((s) => state.later.has(s.tree))];
}

export function openNext(): void {
  open(toDo()[0]);
}

export function open(stop: Stop | undefined): void {
  state.open = stop;
  const count = classes(state.round?.work ?? "").length;
  state.counts = Array.from({ length: count }, () => 0);
  const { work } = state.round ?? { work: "" };
  const likely = work.startsWith("scrape") ? (work === "scrape from a ladder" ? 1 : 0) : (state.today?.likely ?? 0);
  state.field = Math.min(likely, Math.max(0, count - 1));
  state.fresh = true;
  state.note = "";
  state.photo = undefined;
}

/** One key of the pad. */
export function press(digit: number): void {
  const now = state.fresh ? 0 : (state.counts[state.field] ?? 0);
  state.counts[state.field] = Math.min(MOST, now * 10 + digit);
  state.fresh = false;
}

export function wipe(): void {
  state.counts[state.field] = Math.floor((state.counts[state.field] ?? 0) / 10);
  state.fresh = false;
}

export function pick(field: number): void {
  state.field = field;
  state.fresh = true;
}

/** The visit that lies open, saved on the phone. */
export async function save(): Promise<Visit | undefined> {
  const { today, round, open: stop } = state;
  if (!today || !round || !stop) return undefined;
  const at = here();
  const visit: Visit = {
    id: newId(),
    day: dayOfWork(today),
    work: round.work,
    tree: stop.tree || null,
    block: stop.block,
    counts: [...state.counts],
    minutes: null,
    who: [round.team, today.who].filter((name, i, all) => name && all.indexOf(name) === i).join(", "),
    note: state.note.trim(),
    at: at ? [at.lon, at.lat] : null,
    state: "waiting",
    saved: Date.now(),
  };
  await put(visit, state.photo);
  if (state.photo) state.photos += 1;
  state.visits.push(visit);
  state.last = visit;
  state.later.delete(stop.tree);
  openNext();
  return visit;
}

/** Takes the last visit back while it still lies here; its tree is open again, with what was typed. */
export async function takeBack(): Promise<boolean> {
  const { last } = state;
  state.last = undefined;
  // A sending that is under way ends first: then it is known whether the desk has it.
  const gone = last && (await alone(() => removeWaiting(last.id)));
  if (!gone) return false;
  const { visit, photo } = gone;
  state.visits = state.visits.filter((v) => v.id !== visit.id);
  if (photo) state.photos -= 1;
  open(state.round?.stops.find((s) => s.tree === visit.tree) ?? other(visit.tree ?? "", visit.block ?? ""));
  state.counts = visit.counts;
  state.note = visit.note;
  state.photo = photo;
  return true;
}

/** A tree that is on no round. */
export function other(tree: string, block: string): Stop {
  return { tree, block: block || null, species: null, trunk: null, private: false, at: "", place: null };
}

/** Unlike any other phone's, and later ones sort after earlier ones: a UUID of version 7 (RFC 9562, 5.7). */
function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  new DataView(bytes.buffer).setBigUint64(0, (BigInt(Date.now()) << 16n) | BigInt(((bytes[6] ?? 0) << 8) | (bytes[7] ?? 0)));
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x70;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}
