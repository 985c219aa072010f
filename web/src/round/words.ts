// What the form says of visits and of the desk.

import { state } from "./state";
import { classes, type Visit } from "./types";

/** "12 larvae, yellow heads; 2 pupae", or that there was nothing. */
export function found(visit: Visit): string {
  if (visit.work === "put bands up") return "band is up";
  const names = classes(visit.work);
  const parts = visit.counts.flatMap((n, i) => (n > 0 ? [`${n} ${(names[i] ?? "").toLowerCase()}`] : []));
  return parts.length > 0 ? parts.join("; ") : visit.work === "take bands down" ? "band is down" : "nothing found";
}

/** What the large key says. */
export function saveWord(): string {
  const sum = state.counts.reduce((all, n) => all + n, 0);
  if (state.round?.work === "put bands up") return "The band is up";
  if (sum > 0) return `Save ${sum}`;
  return state.round?.work === "take bands down" ? "Band is down" : "Nothing found";
}

export function waiting(): number {
  return state.visits.filter((v) => v.state === "waiting").length;
}

/** The line at the top: is everything at the desk? */
export function standing(): string {
  const wait = waiting();
  const lie = `${wait} ${wait === 1 ? "visit" : "visits"} on the phone`;
  switch (state.missed) {
    case "no signal":
      return wait > 0 ? `No signal. ${lie}; they are sent when there is one.` : "No signal.";
    case "signed out":
      return wait > 0 ? `Signed out. ${lie}; sign in to send them.` : "Signed out.";
    case "not yours":
      return "Your role cannot write visits down: ask the manager.";
    case "not taken":
    case "trouble":
      return wait > 0 ? `The desk has trouble. ${lie}; tried again by itself.` : "The desk has trouble.";
    default:
      if (wait > 0) return `${lie}, sent soon`;
      return state.photos > 0 ? `${state.photos} ${state.photos === 1 ? "photo" : "photos"} on the phone, sent soon` : "All is at the desk";
  }
}
