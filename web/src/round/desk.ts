// Talking to the desk: today's rounds in, visits out.

import { dropPhoto, photoOf, settle, visits, withPhoto } from "./store";
import type { Today, Visit } from "./types";

/** Why the desk did not answer. */
export type Missed = "no signal" | "signed out" | "not yours" | "not taken" | "trouble";

/** Visits in one sending. */
const AT_ONCE = 500;
/** A visit can be taken back for so long before it is sent, ms. */
export const GRACE = 15_000;
/** A desk that says nothing for so long is not reached, ms. */
const PATIENCE = 30_000;

async function ask(path: string, options: RequestInit): Promise<Response | Missed> {
  try {
    // The door answers strangers by sending them elsewhere.
    const answer = await fetch(path, { ...options, redirect: "manual", signal: AbortSignal.timeout(PATIENCE) });
    if (answer.type === "opaqueredirect" || answer.status === 401) return "signed out";
    if (answer.status === 403) return "not yours";
    if (answer.status === 422) return "not taken";
    return answer.ok ? answer : "trouble";
  } catch {
    return "no signal";
  }
}

/** The day on this phone. */
export function dayHere(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}

/** The day of a visit saved now: the desk's day, moved on by the days that went by here since it was asked. */
export function dayOfWork(today: Today): string {
  const gone = Date.parse(dayHere()) - Date.parse(today.came);
  return new Date(Date.parse(today.day) + gone).toISOString().slice(0, 10);
}

export async function fetchToday(): Promise<Today | Missed> {
  const answer = await ask("/round/today.json", {});
  if (typeof answer === "string") return answer;
  try {
    return { ...((await answer.json()) as Today), came: dayHere() };
  } catch {
    return "trouble";
  }
}

interface Answer {
  id: string;
  taken: "kept" | "already" | "refused";
  why?: string;
}

/**
 * Sends what waits, oldest first; `all` does not wait for the time in which a visit can be taken back. One page sends at
 * a time. A sending whose answer was lost is sent again: the desk knows each visit by its id.
 */
export async function send(all: boolean): Promise<Missed | undefined> {
  return alone(() => sendNow(all));
}

/** While this page sends, or takes something back, nothing else does. */
export async function alone<T>(act: () => Promise<T>): Promise<T> {
  // Locks are there on safe addresses only; elsewhere there is one page and no worker.
  const locks = navigator.locks as LockManager | undefined;
  return locks ? locks.request("crownhold-round-send", act) : act();
}

async function sendNow(all: boolean): Promise<Missed | undefined> {
  const late = Date.now() - (all ? 0 : GRACE);
  const waiting = (await visits()).filter((v) => v.state === "waiting" && v.saved <= late);
  for (let from = 0; from < waiting.length; from += AT_ONCE) {
    const missed = await sendSome(waiting.slice(from, from + AT_ONCE));
    if (missed) return missed;
  }
  return sendPhotos();
}

/** Photos of visits that the desk has: one by one, since they are large. */
async function sendPhotos(): Promise<Missed | undefined> {
  const there = new Set((await visits()).filter((v) => v.state === "kept").map((v) => v.id));
  for (const id of (await withPhoto()).filter((id) => there.has(id))) {
    const body = await photoOf(id);
    const headers = { "Content-Type": "image/jpeg" };
    const answer = await ask(`/round/photos/${id}`, { method: "POST", headers, body: body ?? null });
    // Not taken: its visit was removed at the desk, and the photo is of no more use.
    if (typeof answer === "string" && answer !== "not taken") return answer;
    await dropPhoto(id);
  }
  return undefined;
}

async function sendSome(some: Visit[]): Promise<Missed | undefined> {
  const body = JSON.stringify({ visits: some.map(({ state: _, why: __, saved: ___, ...sent }) => sent) });
  const headers = { "Content-Type": "application/json" };
  const answer = await ask("/round/visits", { method: "POST", headers, body });
  if (typeof answer === "string") return answer;
  let answers: Answer[];
  try {
    ({ answers } = (await answer.json()) as { answers: Answer[] });
  } catch {
    return "no signal";
  }
  const byId = new Map(answers.map((a) => [a.id, a]));
  const judged = some.flatMap((visit): Visit[] => {
    const given = byId.get(visit.id);
    if (!given) return [];
    if (given.taken === "refused") return [{ ...visit, state: "refused", why: given.why ?? "The desk did not say why." }];
    return [{ ...visit, state: "kept" }];
  });
  await settle(judged);
  return undefined;
}
