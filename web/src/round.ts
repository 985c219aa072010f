// The form that crews and volunteers carry: a page that a phone keeps, for a day without a signal.

import { button, el } from "./dom";
import { dayOfWork, fetchToday, GRACE, send } from "./round/desk";
import { follow } from "./round/here";
import { isDone, state, save, takeBack, takeUp, type View } from "./round/state";
import { keepToday, keptChoice, keptToday, visits, withPhoto } from "./round/store";
import { listView, mapView, moved, treeView } from "./round/views";
import { found, standing, waiting } from "./round/words";

/** Between two looks whether something waits to be sent, ms. */
const LOOK = 20_000;
/** The map stands still so long while one walks, ms. */
const STILL = 4_000;
let drawn = 0;
const VIEWS: [View, string][] = [["tree", "Tree"], ["map", "Map"], ["list", "List"]];

const part = (id: string) => {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no ${id}`);
  return found;
};

const acts = {
  draw,
  save: () => void saveOpen(),
  send: () => void sendWaiting(true).then(draw),
};

function draw(): void {
  drawn = Date.now();
  const focused = document.activeElement?.id;
  const views = { tree: treeView, map: mapView, list: listView };
  part("main").replaceChildren(views[state.view](acts));
  const tab = ([view, name]: [View, string]) => {
    const go = () => {
      state.view = view;
      draw();
    };
    return button(name, go, { id: `view-${view}`, "aria-pressed": String(state.view === view) });
  };
  part("views").replaceChildren(...VIEWS.map(tab));
  part("views").hidden = !state.round;
  drawState();
  drawSaid();
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
}

function drawState(): void {
  const line = part("state");
  line.replaceChildren(standing());
  line.classList.toggle("wrong", state.missed === "signed out" || state.missed === "not yours");
  const refused = state.visits.filter((v) => v.state === "refused").length;
  if (refused > 0) line.append(` ${refused} not taken: see the list.`);
}

/** What was just saved, with the way back; trouble; else how far the round is. */
function drawSaid(): void {
  const { last, round, trouble } = state;
  const undo = last && button("Take it back", () => void undoLast(), { id: "undo", class: "quiet" });
  const progress = round ? `${round.team} · ${round.stops.filter(isDone).length} of ${round.stops.length} trees${ofDay()}` : "";
  const words = trouble || (last ? `Saved: ${last.tree ?? "a tree"}, ${found(last)}.` : progress);
  part("said").replaceChildren(el("p", trouble ? { class: "wrong" } : {}, words), undo ?? "");
}

/** A round of another day says so: today's is fetched where there is a signal. */
function ofDay(): string {
  const { today } = state;
  return today && dayOfWork(today) !== today.day ? `. This is the round of ${today.dayWords}; today's is not on the phone yet.` : "";
}

async function saveOpen(): Promise<void> {
  try {
    const visit = await save();
    if (!visit) return;
    state.trouble = "";
    setTimeout(() => {
      if (state.last === visit) state.last = undefined;
      drawSaid();
    }, GRACE);
    void navigator.storage?.persist?.();
  } catch (fault) {
    state.trouble = `NOT saved: the phone has no room or forbids it (${String(fault)}). Write it on paper.`;
  }
  draw();
  window.scrollTo({ top: 0 });
}

async function undoLast(): Promise<void> {
  if (!(await takeBack())) state.trouble = "It is at the desk already: tell the manager.";
  draw();
}

async function sendWaiting(all: boolean): Promise<void> {
  if (waiting() + state.photos === 0) return;
  state.missed = await send(all);
  state.visits = await visits();
  state.photos = (await withPhoto()).length;
  // What the desk has is no longer to be taken back here.
  if (state.visits.some((v) => v.id === state.last?.id && v.state !== "waiting")) state.last = undefined;
  drawSaid();
  // Keys under a thumb stay where they are; only the line at the top changes.
  drawState();
}

/** Asks for today's rounds; what came last time stays where the desk is not reached. */
async function refresh(): Promise<void> {
  const got = await fetchToday();
  if (typeof got === "string") {
    state.missed = got;
  } else {
    state.missed = undefined;
    const first = !state.today || state.today.day !== got.day;
    state.today = got;
    await keepToday(got);
    // A round that is under way stays; its trees may have changed.
    const { round } = state;
    if (first || !round) takeUp(await keptChoice());
    else state.round = got.rounds.find((r) => r.team === round.team && r.work === round.work) ?? round;
  }
  draw();
}

async function begin(): Promise<void> {
  state.visits = await visits();
  state.photos = (await withPhoto()).length;
  state.today = await keptToday();
  takeUp(await keptChoice());
  draw();
  if ("serviceWorker" in navigator) void navigator.serviceWorker.register("/round-worker.js", { scope: "/round" });
  else state.trouble = "This address is not safe (https), so the phone cannot open the form without a signal. Ask for the desk's https address.";
  await refresh();
  await sendWaiting(true);
  follow(() => {
    if (state.view !== "map") return moved(acts);
    // A map that is drawn anew at every step cannot be touched.
    if (Date.now() - drawn > STILL) draw();
  });
  window.addEventListener("online", () => void refresh().then(() => sendWaiting(true)));
  document.addEventListener("visibilitychange", () => void sendWaiting(true));
  setInterval(() => void sendWaiting(false), LOOK);
}

void begin();
