// What the phone keeps, in a base of its own that outlives page, browser and battery.

import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { Today, Visit } from "./types";

interface Base extends DBSchema {
  visits: { key: string; value: Visit };
  kept: { key: string; value: Today | string };
  /** Photos by the id of their visit, until the desk has them. */
  photos: { key: string; value: Blob };
}

/** Visits that were taken are kept so long, to mark their trees as done. */
const DAYS = 14;

let base: Promise<IDBPDatabase<Base>> | undefined;

function open(): Promise<IDBPDatabase<Base>> {
  base ??= openDB<Base>("crownhold-round", 1, {
    upgrade(made) {
      made.createObjectStore("visits", { keyPath: "id" });
      made.createObjectStore("kept");
      made.createObjectStore("photos");
    },
  });
  return base;
}

/** Writes to the disk itself before it answers: a phone may go dark at any moment. */
const SURELY = { durability: "strict" } as const;

/** Keeps a visit, with its photo if there is one. */
export async function put(visit: Visit, photo?: Blob): Promise<void> {
  const change = (await open()).transaction(["visits", "photos"], "readwrite", SURELY);
  await change.objectStore("visits").put(visit);
  if (photo) await change.objectStore("photos").put(photo, visit.id);
  await change.done;
}

/** Writes down what the desk said of visits; one that was changed here meanwhile waits to be sent again. */
export async function settle(judged: Visit[]): Promise<void> {
  const change = (await open()).transaction("visits", "readwrite", SURELY);
  const one = async (visit: Visit) => {
    const now = await change.store.get(visit.id);
    if (!now || now.saved === visit.saved) await change.store.put(visit);
  };
  await Promise.all(judged.map(one));
  await change.done;
}

export async function remove(id: string): Promise<void> {
  const change = (await open()).transaction(["visits", "photos"], "readwrite", SURELY);
  await change.objectStore("visits").delete(id);
  await change.objectStore("photos").delete(id);
  await change.done;
}

/** Takes a visit off that was not sent yet, and gives it with its photo; nothing where the desk has it. */
export async function removeWaiting(id: string): Promise<{ visit: Visit; photo: Blob | undefined } | undefined> {
  const visit = await (await open()).get("visits", id);
  if (visit?.state !== "waiting") return undefined;
  const photo = await photoOf(id);
  await remove(id);
  return { visit, photo };
}

/** Visits whose photo lies here yet. */
export async function withPhoto(): Promise<string[]> {
  return (await open()).getAllKeys("photos");
}

export async function photoOf(id: string): Promise<Blob | undefined> {
  return (await open()).get("photos", id);
}

export async function dropPhoto(id: string): Promise<void> {
  await (await open()).delete("photos", id);
}

/** All visits in the order in which they were saved; taken ones go after a while. */
export async function visits(): Promise<Visit[]> {
  const all = await (await open()).getAll("visits");
  const old = Date.now() - DAYS * 86_400_000;
  const over = all.filter((v) => v.state === "kept" && v.saved < old);
  await Promise.all(over.map((v) => remove(v.id)));
  return all.filter((v) => !over.includes(v)).sort((a, b) => a.saved - b.saved);
}

export async function keepToday(today: Today): Promise<void> {
  await (await open()).put("kept", today, "today");
}

export async function keptToday(): Promise<Today | undefined> {
  const kept = await (await open()).get("kept", "today");
  return typeof kept === "object" ? kept : undefined;
}

/** The round that was chosen, as "day work team". */
export async function keepChoice(choice: string): Promise<void> {
  await (await open()).put("kept", choice, "choice");
}

export async function keptChoice(): Promise<string | undefined> {
  const kept = await (await open()).get("kept", "choice");
  return typeof kept === "string" ? kept : undefined;
}
