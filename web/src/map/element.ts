// <crown-map>: the map as an element of a page. It stays in the light DOM; what the server put inside (an SVG map,
// folded away in <noscript>) is kept for browsers without WebGL, and for printing.

import { card } from "./card";
import { Drawing } from "./drawing";
import { button, el } from "../dom";
import { unfold } from "../later";
import type { BlockFacts, City, Plan, Squares, Trees } from "./feed";
import { legendOf } from "./legend";
import { modeOf } from "./mode";
import { dots, painting, type Painting } from "./painting";
import { Theme, onThemeChange } from "./theme";
import { View } from "./view";
import { counted } from "./words";

const HINT = "Point at one, or step through them with Page Down and Page Up.";
const TOUCH_HINT = "Tap one to see its facts.";
const WATCHED = ["src", "trees", "squares", "mode", "plan", "other", "selected", "threshold", "href"];

export class CrownMap extends HTMLElement {
  static readonly observedAttributes = WATCHED;

  private city: City | null = null;
  private plan: Plan | null = null;
  private other: Plan | null = null;
  private squares: Squares | null = null;
  private view: View | null = null;
  private theme: Theme | null = null;
  private drawing: Drawing | null = null;
  private painted: Painting | null = null;
  private showDoubt = false;
  private asked = 0;
  private stopWatching: (() => void) | null = null;

  private readonly about = el("p", { class: "cm-about" });
  private readonly legend = el("div", { class: "cm-legend" });
  private readonly facts = el("div", { class: "cm-card" });
  private readonly live = el("p", { class: "cm-live", "aria-live": "polite" });
  private readonly tools = el("div", { class: "cm-tools" });
  private readonly stage = el("div", { class: "cm-stage" });
  private readonly frame = el("div", { class: "cm-frame" });

  connectedCallback(): void {
    if (this.view || this.frame.isConnected) return;
    const kept = el("div", { class: "cm-kept" }, ...this.childNodes);
    this.append(kept);
    addEventListener("beforeprint", () => unfold(kept), { once: true });
    if (!hasWebGl()) {
      unfold(kept);
      this.append(el("p", { class: "cm-problem" }, "This browser cannot draw the moving map (it has no WebGL 2). " +
        "The still map shows the same city; tables and forms work as usual."));
      return;
    }
    void this.start(kept);
  }

  disconnectedCallback(): void {
    this.stopWatching?.();
    this.drawing?.stop();
    this.view?.remove();
    this.view = null;
    this.frame.remove();
  }

  attributeChangedCallback(name: string, before: string | null, now: string | null): void {
    if (!this.view || before === now) return;
    if (name === "selected") this.choose(now, false);
    else if (name === "mode" || name === "threshold" || name === "href") this.paint();
    else void this.load();
  }

  /** The chance map's threshold, in the programme's unit. */
  get threshold(): number {
    const own = Number(this.getAttribute("threshold"));
    return Number.isFinite(own) && own > 0 ? own : 250;
  }

  private async start(kept: HTMLElement): Promise<void> {
    this.frame.append(
      this.tools,
      this.stage,
      el("div", { class: "cm-side" }, this.about, this.facts, this.legend),
      this.live,
    );
    this.append(this.frame);
    this.theme = new Theme(this.frame);
    this.live.textContent = "The map is being loaded.";
    if (await this.load()) {
      kept.classList.add("cm-replaced");
      this.dataset.ready = "";
    } else {
      unfold(kept);
      this.frame.hidden = !this.city && kept.childElementCount > 0;
    }
  }

  /** Fetches what the attributes name and draws it; false when the city cannot be had. */
  private async load(): Promise<boolean> {
    const turn = ++this.asked;
    const get = async <T>(name: string): Promise<T | null> => {
      const url = this.getAttribute(name);
      return url ? fetchJson<T>(url) : null;
    };
    try {
      const [city, plan, other] = await Promise.all([get<City>("src"), get<Plan>("plan"), get<Plan>("other")]);
      if (turn !== this.asked || !city) return false;
      [this.city, this.plan, this.other] = [city, plan, other];
      await this.draw(city);
      this.squares = await get<Squares>("squares");
      if (this.squares && turn === this.asked) {
        this.view?.setSquares(this.squares, dots(city, this.squares));
        this.paint();
      }
      const trees = await get<Trees>("trees");
      if (trees && turn === this.asked) this.view?.setTrees(trees);
      return true;
    } catch (fault) {
      this.live.classList.add("cm-problem");
      this.live.textContent = `The map cannot be shown: ${fault instanceof Error ? fault.message : "no answer"}.`;
      return false;
    }
  }

  private async draw(city: City): Promise<void> {
    const theme = this.theme!;
    if (this.view) {
      this.view.setCity(city);
    } else {
      this.view = await View.open(this.stage, city, theme, this.us(city));
      this.listen(this.view, city, theme);
    }
    this.paint();
    this.live.textContent = "";
    this.choose(this.getAttribute("selected"), false);
  }

  private us(city: City): boolean {
    return (this.getAttribute("units") ?? city.units) === "us";
  }

  private listen(view: View, city: City, theme: Theme): void {
    view.onPoint = (id) => this.tell(id ?? view.chosen);
    view.onChoose = (id) => this.choose(id, true);
    view.onOpen = () => this.open();
    view.onStep = (by) => this.step(by);
    this.stopWatching = onThemeChange(() => {
      theme.forget();
      this.paint();
    });
    this.followSlider();
    this.addTools(view, city);
    if (this.hasAttribute("save")) {
      this.drawing = new Drawing(view, theme, this.tools, this.getAttribute("save")!, this.us(city), () => this.city!);
    }
  }

  private addTools(view: View, city: City): void {
    const ids = city.blocks.features.map((f) => f.properties.id);
    const choice = el("select", { "aria-label": "Go to a block" }, el("option", { value: "" }, "Go to a block …"));
    choice.append(...ids.map((id) => el("option", { value: id }, id)));
    choice.addEventListener("change", () => {
      if (!choice.value) return;
      this.choose(choice.value, true);
      view.bring(choice.value);
    });
    this.tools.append(
      el(
        "div",
        { class: "cm-group" },
        button("Zoom in", () => view.zoom(1)),
        button("Zoom out", () => view.zoom(-1)),
        button("Whole city", () => view.fit()),
      ),
      choice,
    );
  }

  private followSlider(): void {
    const slider = document.getElementById(this.getAttribute("threshold-input") ?? "");
    if (!(slider instanceof HTMLInputElement)) return;
    const output = document.querySelector<HTMLOutputElement>(`output[for~="${CSS.escape(slider.id)}"]`);
    const follow = (): void => {
      this.setAttribute("threshold", slider.value);
      if (output) output.value = Number(slider.value).toLocaleString("en-US");
    };
    slider.addEventListener("input", follow);
    follow();
  }

  private paint(): void {
    if (!this.view || !this.city || !this.theme) return;
    const mode = modeOf(this.getAttribute("mode"));
    const wishes = {
      mode,
      threshold: this.threshold,
      showDoubt: this.showDoubt,
      plan: this.plan,
      other: this.other,
      squares: this.squares,
    };
    this.painted = painting(this.city, wishes, this.theme);
    this.view.show(this.painted, mode, this.theme);
    this.about.textContent = this.painted.about;
    this.legend.replaceChildren(
      ...(mode === "density" ? [this.doubtSwitch()] : []),
      ...legendOf([...this.painted.legend, ...this.view.commonLegend(mode, this.theme)]),
    );
    this.tell(this.view.chosen);
    this.drawing?.show(mode === "areas");
  }

  private doubtSwitch(): HTMLElement {
    const box = el("input", { type: "checkbox", checked: this.showDoubt });
    box.addEventListener("change", () => {
      this.showDoubt = box.checked;
      this.paint();
      this.legend.querySelector("input")?.focus();
    });
    return el("label", { class: "cm-switch" }, box, "Show doubt: the wider the range, the fainter");
  }

  private block(id: string | null): BlockFacts | null {
    return this.city?.blocks.features.find((f) => f.properties.id === id)?.properties ?? null;
  }

  private href(id: string): string | null {
    return this.getAttribute("href")?.replace("{id}", encodeURIComponent(id)) ?? null;
  }

  /** Shows a block's facts beside the map. */
  private tell(id: string | null): void {
    const block = this.block(id);
    if (!this.painted || !this.city) return;
    const all = counted(this.city.blocks.features.length, "block", "blocks");
    this.facts.replaceChildren(
      ...(block
        ? card(block, this.painted.facts(block), this.href(block.id))
        : [el("p", { class: "cm-hint" }, `${all}. ${matchMedia("(hover: none)").matches ? TOUCH_HINT : HINT}`)]),
    );
  }

  private choose(id: string | null, byUser: boolean): void {
    const block = this.block(id);
    this.view?.choose(block?.id ?? null);
    this.drawing?.chosen(block?.id ?? null);
    this.tell(block?.id ?? null);
    if (!byUser || !block || !this.painted) return;
    const facts = this.painted.facts(block).slice(0, 2).map(([term, text]) => `${term}: ${text}`);
    this.live.textContent = [`Block ${block.id}`, ...facts].join(". ");
    this.dispatchEvent(new CustomEvent("crown-select", { bubbles: true, detail: { id: block.id } }));
  }

  private step(by: number): void {
    const ids = this.city?.blocks.features.map((f) => f.properties.id) ?? [];
    const at = ids.indexOf(this.view?.chosen ?? "");
    const next = ids[at < 0 ? (by > 0 ? 0 : ids.length - 1) : (at + by + ids.length) % ids.length];
    if (!next) return;
    this.choose(next, true);
    this.view?.bring(next);
  }

  private open(): void {
    const id = this.view?.chosen;
    const url = id ? this.href(id) : null;
    if (url) location.assign(url);
  }
}

async function fetchJson<T>(url: string): Promise<T> {
  const answer = await fetch(url, { headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error(`${url} answered ${answer.status}`);
  return (await answer.json()) as T;
}

function hasWebGl(): boolean {
  try {
    return document.createElement("canvas").getContext("webgl2") !== null;
  } catch {
    return false;
  }
}
