// The three views of the form: the open tree, the map, the list.

import { button, el } from "../dom";
import { here, metres, way } from "./here";
import { roundMap } from "./map";
import { choose, isDone, open, openNext, other, pick, press, state, toDo, wipe } from "./state";
import { small } from "./photo";
import { put, remove } from "./store";
import { classes, type Stop } from "./types";
import { found, saveWord } from "./words";

/** What the views ask of the form. */
export interface Acts {
  /** Draws everything anew. */
  draw(): void;
  save(): void;
  /** Sends what waits. */
  send(): void;
}

/** Nearer than this to another tree, one most likely stands at that one, metres. */
const AT_TREE = 20;

function caution(work: string): HTMLElement | false {
  const words = state.today?.cautions[work];
  return words ? el("details", { class: "caution" }, el("summary", {}, "Caution"), el("p", {}, words)) : false;
}

/** Which round is it? The caution stands here in full, before the first tree. */
export function choosing(acts: Acts): HTMLElement {
  const { today } = state;
  const rounds = today?.rounds ?? [];
  if (!today || rounds.length === 0) return nothing();
  const row = (r: (typeof rounds)[number]) => {
    const made = button("", () => void choose(r).then(acts.draw), { class: "round-choice" });
    made.append(el("strong", {}, r.team), el("span", {}, `${r.work}, ${r.stops.length} ${r.stops.length === 1 ? "tree" : "trees"}, back about ${r.back}`));
    return el("li", {}, made);
  };
  const words = [...new Set(Object.values(today.cautions))].map((w) => el("p", { class: "caution" }, el("strong", {}, "Caution. "), w));
  return el("section", {}, el("h2", {}, "Which round is yours?"), el("ul", { class: "round-choices" }, ...rounds.map(row)), ...words);
}

function nothing(): HTMLElement {
  const why =
    state.missed === "signed out"
      ? el("p", {}, "Open the link that you were given, or ", el("a", { href: "/login" }, "sign in"), "; then come back here.")
      : state.today
        ? el("p", {}, "No round is made for today. The manager makes them under Field, Rounds.")
        : el("p", {}, state.missed ? "Today's rounds are not on this phone yet. Open this page once where there is a signal." : "Asking the desk ...");
  return el("section", { class: "empty" }, why);
}

/** The open tree with its counts and keys. */
export function treeView(acts: Acts): HTMLElement {
  const { open: stop, round } = state;
  if (!round) return choosing(acts);
  if (!stop) return el("section", {}, ...finished(acts));
  const facts = [stop.species, stop.trunk, stop.block && `block ${stop.block}`, stop.at && `about ${stop.at}`];
  return el(
    "section",
    { "aria-labelledby": "tree" },
    el("h2", { id: "tree" }, stop.tree ? `Tree ${stop.tree}` : "A tree without a number"),
    el("p", {}, facts.filter(Boolean).join(" · "), el("span", { id: "way" }, whereTo(stop))),
    stop.private && el("p", { class: "soft" }, "On private ground: knock before you go to it."),
    el("div", { id: "elsewhere" }, standsElsewhere(stop, acts)),
    caution(round.work),
    counts(acts),
    keys(acts),
    bottom(stop, acts),
  );
}

function whereTo(stop: Stop): string {
  const stand = here();
  return stop.place && stand ? ` · ${way([stand.lon, stand.lat], stop.place)}` : "";
}

/** The phone has moved: only what speaks of it is drawn anew, so that no key goes away under a thumb. */
export function moved(acts: Acts): void {
  const [way, elsewhere, stop] = [document.getElementById("way"), document.getElementById("elsewhere"), state.open];
  if (!way || !elsewhere || !stop) return;
  way.textContent = whereTo(stop);
  const near = standsElsewhere(stop, acts);
  if ((near ? near.textContent : "") !== elsewhere.textContent) elsewhere.replaceChildren(near || "");
}

/** Another tree of the round lies nearer than the open one. */
function standsElsewhere(stop: Stop, acts: Acts): HTMLElement | false {
  const stand = here();
  if (!stand || !stop.place) return false;
  const far = (s: Stop) => (s.place ? metres([stand.lon, stand.lat], s.place) : Infinity);
  const nearest = toDo().reduce((best, s) => (far(s) < far(best) ? s : best), stop);
  if (nearest === stop || far(nearest) > AT_TREE || far(stop) < 2 * AT_TREE) return false;
  const go = () => {
    open(nearest);
    acts.draw();
  };
  return button(`You stand at ${nearest.tree}: open it`, go, { id: "nearest", class: "quiet" });
}

function finished(acts: Acts): HTMLElement[] {
  const again = button("A tree that is not on the round", () => {
    state.view = "list";
    acts.draw();
    document.getElementById("other-tree")?.focus();
  }, { class: "quiet" });
  return [el("h2", {}, "The round is done"), el("p", {}, "Every tree was visited. Thank you."), again];
}

function counts(acts: Acts): HTMLElement | false {
  const names = classes(state.round?.work ?? "");
  if (names.length === 0) return false;
  const field = (name: string, i: number) => {
    const choice = el("input", { type: "radio", name: "field", id: `field-${i}`, checked: i === state.field });
    choice.addEventListener("change", () => {
      pick(i);
      acts.draw();
    });
    return el("label", { class: "count", for: `field-${i}` }, choice, el("span", {}, name), el("b", {}, String(state.counts[i] ?? 0)));
  };
  return el("fieldset", { class: "counts" }, el("legend", { class: "visually-hidden" }, "What was found"), ...names.map(field));
}

function keys(acts: Acts): HTMLElement | false {
  if (classes(state.round?.work ?? "").length === 0) return false;
  const key = (label: string, act: () => void, name = label) =>
    button(label, () => {
      act();
      acts.draw();
    }, { id: `key-${name.toLowerCase().replaceAll(" ", "-")}`, "aria-label": name });
  const digit = (n: number) => key(String(n), () => press(n));
  return el("div", { class: "keys", role: "group", "aria-label": "Keys" }, ...[1, 2, 3, 4, 5, 6, 7, 8, 9].map(digit), key("⌫", wipe, "Wipe a digit"), digit(0));
}

function bottom(stop: Stop, acts: Acts): HTMLElement {
  const later = button("Later", () => {
    state.later.add(stop.tree);
    openNext();
    acts.draw();
  }, { id: "later", class: "quiet" });
  const note = el("input", { id: "note", value: state.note, maxlength: 200, autocomplete: "off" });
  note.addEventListener("input", () => {
    state.note = note.value;
  });
  const camera = el("input", { type: "file", id: "photo", accept: "image/*", capture: "environment", class: "visually-hidden" });
  camera.addEventListener("change", () => {
    const [file] = camera.files ?? [];
    if (file) void takePhoto(file).then(acts.draw);
  });
  const shown = state.photo ? "Photo taken; another one" : "Photo, if it helps";
  return el(
    "div",
    {},
    el("div", { class: "save" }, later, button(saveWord(), acts.save, { id: "save" })),
    el("div", { class: "field" }, el("label", { for: "note" }, "Note, if there is something to say"), note),
    el("div", { class: "photo" }, camera, el("label", { for: "photo", class: "button quiet" }, shown)),
  );
}

async function takePhoto(file: Blob): Promise<void> {
  try {
    state.photo = await small(file);
    state.trouble = "";
  } catch {
    state.trouble = "The photo cannot be read. The visit can be saved without it.";
  }
}

/** The round on its map. */
export function mapView(acts: Acts): HTMLElement {
  const opened = () => {
    state.view = "tree";
    acts.draw();
  };
  const map = state.round && roundMap(opened);
  if (!map) return el("section", { class: "empty" }, el("p", {}, "Choose a round first."));
  const zoom = button(state.near ? "The whole round" : "Around the next tree", () => {
    state.near = !state.near;
    acts.draw();
  }, { id: "zoom", class: "quiet" });
  const stand = here() ? "The ring is where you stand." : "Where you stand is not known, or not sure enough.";
  return el("section", {}, el("h2", { class: "visually-hidden" }, "Map"), map, zoom, el("p", { class: "soft" }, `Filled: to do. Hollow: done. Touch a tree to open it. ${stand}`));
}

/** All trees in order, what lies on the phone, and trees that are on no round. */
export function listView(acts: Acts): HTMLElement {
  const { round } = state;
  if (!round) return choosing(acts);
  const row = (stop: Stop, i: number) => {
    const go = button("", () => {
      open(stop);
      state.view = "tree";
      acts.draw();
    }, { class: "round-stop" });
    const is = isDone(stop) ? "done" : state.later.has(stop.tree) ? "later" : "";
    go.append(el("span", { class: "num" }, String(i + 1)), el("strong", {}, stop.tree), el("span", {}, [stop.block, stop.species].filter(Boolean).join(" · ")), el("em", {}, is || stop.at));
    return el("li", {}, go);
  };
  const change = button("Another round", () => {
    state.round = undefined;
    state.view = "tree";
    acts.draw();
  }, { class: "quiet" });
  const lies = state.visits.some((v) => v.state === "waiting");
  const now = lies && button("Send what lies on the phone now", acts.send, { id: "send" });
  return el("section", {}, ...refused(acts), now, el("h2", {}, round.team), el("ol", { class: "round-stops" }, ...round.stops.map(row)), otherTree(acts), change);
}

/** Visits that the desk does not take: never dropped, shown until somebody has dealt with them. */
function refused(acts: Acts): HTMLElement[] {
  const all = state.visits.filter((v) => v.state === "refused");
  if (all.length === 0) return [];
  const row = (v: (typeof all)[number]) => {
    const again = button("Try again", () => {
      v.state = "waiting";
      void put(v).then(acts.send);
    }, { class: "quiet" });
    const off = button("Written down elsewhere: take it off", () => {
      void remove(v.id).then(() => {
        state.visits = state.visits.filter((kept) => kept.id !== v.id);
        acts.draw();
      });
    }, { class: "quiet" });
    return el("li", { class: "error" }, el("p", {}, `${v.day}, ${v.tree ?? v.block ?? "no tree"}: ${found(v)}. ${v.why ?? ""}`), again, off);
  };
  return [el("h2", {}, "The desk did not take these"), el("ul", { class: "problems" }, ...all.map(row))];
}

function otherTree(acts: Acts): HTMLElement {
  const tree = el("input", { id: "other-tree", autocomplete: "off", maxlength: 40 });
  const blocks = el("select", { id: "other-block" }, el("option", { value: "" }, "by the phone's position"), ...(state.today?.blocks ?? []).map((b) => el("option", {}, b)));
  const form = el(
    "form",
    { class: "stack" },
    el("h3", {}, "A tree that is not on the round"),
    el("div", { class: "field" }, el("label", { for: "other-tree" }, "Its number, if it has one"), tree),
    el("div", { class: "field" }, el("label", { for: "other-block" }, "Block"), blocks),
    el("button", { class: "quiet" }, "Open it"),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    open(other(tree.value.trim(), blocks.value));
    state.view = "tree";
    acts.draw();
  });
  return form;
}
