// Drawing a no-spray area, or changing the edge of one or of a block, and sending it to the server.

import type { Polygon } from "geojson";
import { TerraDraw, TerraDrawPolygonMode, TerraDrawSelectMode } from "terra-draw";
import { TerraDrawMapLibreGLAdapter } from "terra-draw-maplibre-gl-adapter";

import { button, el } from "../dom";
import type { City } from "./feed";
import type { Theme } from "./theme";
import type { View } from "./view";

const FOOT = 0.3048;
const KINDS = ["opt-out", "school", "organic farm", "rare species", "apiary", "water", "other"];
type Ring = [number, number][];

/** Degrees to six decimals, about a decimetre: as the server sends them. */
const rounded = (degrees: number): number => Math.round(degrees * 1e6) / 1e6;

/** What is being drawn. */
interface Work {
  what: "no-spray" | "block";
  /** The shape that is changed; none for a new one. */
  id: string | null;
}

interface Problem {
  what: string;
  expected?: string;
  remedy?: string;
}

export class Drawing {
  private draw: TerraDraw | null = null;
  private work: Work | null = null;
  private area: string | null = null;
  private block: string | null = null;
  /** Corners set at the cross, without a pointer. */
  private corners: Ring = [];

  private readonly start: HTMLDivElement;
  private readonly form: HTMLFormElement;
  private readonly say = el("div", { class: "cm-say", role: "status" });
  private readonly kind = el("select", {}, ...KINDS.map((k) => el("option", { value: k }, k)));
  private readonly buffer = el("input", { type: "number", min: 0, step: "any", inputmode: "decimal" });
  private readonly note = el("input", { type: "text", autocomplete: "off" });
  private readonly about = el("div", { class: "cm-fields" });
  private readonly cross = el("div", { class: "cm-cross", "aria-hidden": "true", hidden: true });
  private readonly editArea: HTMLButtonElement;
  private readonly editBlock: HTMLButtonElement;
  private readonly corner: HTMLButtonElement;

  constructor(
    private readonly view: View,
    private readonly theme: Theme,
    tools: HTMLElement,
    private readonly url: string,
    private readonly us: boolean,
    private readonly city: () => City,
  ) {
    this.editArea = button("Edit the chosen no-spray area", () => this.editChosenArea(), { disabled: true });
    this.editBlock = button("Edit the chosen block’s edge", () => this.editChosenBlock(), { disabled: true });
    this.corner = button("Set a corner at the cross", () => this.setCorner());
    this.start = el(
      "div",
      { class: "cm-group" },
      button("Draw a no-spray area", () => this.begin({ what: "no-spray", id: null })),
      this.editArea,
      this.editBlock,
    );
    this.about.append(
      el("label", {}, "Kind ", this.kind),
      el("label", {}, `Distance kept, ${us ? "ft" : "m"} (empty: as usual for its kind) `, this.buffer),
      el("label", {}, "Note: who asked, or why ", this.note),
    );
    this.form = el(
      "form",
      { class: "cm-form", hidden: true },
      this.about,
      el(
        "div",
        { class: "cm-group" },
        this.corner,
        el("button", { type: "submit", class: "cm-main" }, "Save"),
        button("Cancel", () => this.cancel()),
      ),
    );
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.save();
    });
    tools.append(this.start, this.form, this.say);
    view.stage.append(this.cross);
    view.map.getCanvas().addEventListener("keydown", (event) => this.key(event));
    view.onArea = (id) => this.chooseArea(id);
  }

  /** Shows or hides the tools. */
  show(on: boolean): void {
    this.start.hidden = !on || this.work !== null;
    if (!on && this.work) this.cancel();
    this.view.onArea = on ? (id) => this.chooseArea(id) : null;
  }

  /** The chosen block has changed. */
  chosen(block: string | null): void {
    this.block = block;
    this.editBlock.disabled = block === null;
  }

  stop(): void {
    this.draw?.stop();
  }

  private chooseArea(id: string): boolean {
    if (this.work) return false;
    this.view.frameArea(this.area, false);
    this.area = id;
    this.view.frameArea(id, true);
    this.editArea.disabled = false;
    const facts = this.city().noSpray.features.find((f) => f.properties.id === id)?.properties;
    const note = facts?.note ? ` ${facts.note}.` : "";
    this.tell(facts ? `No-spray area ${id}: ${facts.kind}, ${facts.buffer} kept from it.${note}` : "");
    return true;
  }

  private editChosenArea(): void {
    const feature = this.city().noSpray.features.find((f) => f.properties.id === this.area);
    if (!feature || !this.area) return;
    this.kind.value = feature.properties.kind;
    const metres = feature.properties.bufferMetres;
    this.buffer.value = metres === null ? "" : String(Math.round((this.us ? metres / FOOT : metres) * 10) / 10);
    this.note.value = feature.properties.note ?? "";
    this.edit({ what: "no-spray", id: this.area }, feature.geometry.coordinates as Ring[][]);
  }

  private editChosenBlock(): void {
    const feature = this.city().blocks.features.find((f) => f.properties.id === this.block);
    if (feature && this.block) this.edit({ what: "block", id: this.block }, feature.geometry.coordinates as Ring[][]);
  }

  private edit(work: Work, shape: Ring[][]): void {
    const ring = shape[0]?.[0];
    if (!ring || shape.length > 1 || shape[0]!.length > 1) {
      this.tell("This shape has several parts or a hole and cannot be changed here: import it as a layer instead.");
      return;
    }
    this.begin(work);
    this.place(ring);
    this.tell("Drag a corner to move it, or a middle point to add one. Right-click a corner to take it away.");
  }

  private begin(work: Work): void {
    this.work = work;
    this.corners = [];
    const fresh = work.id === null;
    if (fresh) {
      this.kind.value = KINDS[0]!;
      this.buffer.value = this.note.value = "";
    }
    this.start.hidden = true;
    this.form.hidden = false;
    this.about.hidden = work.what === "block";
    this.corner.hidden = this.cross.hidden = !fresh;
    this.view.yieldTo(true);
    this.draw = this.terra();
    this.draw.start();
    this.draw.setMode(fresh ? "polygon" : "select");
    if (fresh) {
      this.tell("Click the corners, and the first one again to close. By keyboard: move the map under the cross, " +
        "Space sets a corner, Enter closes the shape, Escape cancels.");
      this.view.map.getCanvas().focus();
    }
  }

  private terra(): TerraDraw {
    const guard = this.theme.of("guard") as `#${string}`;
    const paper = this.theme.of("paper") as `#${string}`;
    const shape = { fillColor: guard, fillOpacity: 0.25, outlineColor: guard, outlineWidth: 3 };
    const flags = { draggable: true, coordinates: { midpoints: true, draggable: true, deletable: true } };
    const draw = new TerraDraw({
      adapter: new TerraDrawMapLibreGLAdapter({ map: this.view.map, coordinatePrecision: 9 }),
      modes: [
        new TerraDrawPolygonMode({
          styles: { ...shape, closingPointColor: paper, closingPointOutlineColor: guard, closingPointWidth: 6 },
        }),
        new TerraDrawSelectMode({
          allowManualDeselection: false,
          keyEvents: { deselect: null, delete: null, rotate: null, scale: null },
          flags: { polygon: { feature: flags } },
          styles: {
            selectedPolygonColor: guard,
            selectedPolygonFillOpacity: 0.25,
            selectedPolygonOutlineColor: guard,
            selectedPolygonOutlineWidth: 3,
            selectionPointColor: paper,
            selectionPointOutlineColor: guard,
            selectionPointWidth: 6,
            selectionPointOutlineWidth: 2,
            midPointColor: guard,
            midPointWidth: 4,
            midPointOutlineColor: paper,
          },
        }),
      ],
    });
    draw.on("finish", (id, { mode }) => {
      if (mode !== "polygon") return;
      draw.setMode("select");
      draw.selectFeature(id);
      this.corner.hidden = this.cross.hidden = true;
      this.tell("The shape is closed: corners can still be dragged. Save keeps it.");
    });
    return draw;
  }

  /** Puts a closed ring on the map and makes its corners movable. */
  private place(ring: Ring): void {
    const draw = this.draw;
    if (!draw) return;
    draw.setMode("select");
    const geometry: Polygon = { type: "Polygon", coordinates: [ring] };
    const [added] = draw.addFeatures([{ type: "Feature", geometry, properties: { mode: "polygon" } }]);
    if (added?.id !== undefined && added.valid) draw.selectFeature(added.id);
    else this.tell(`The shape cannot be changed here: ${added?.reason ?? "it is not a simple polygon"}.`);
  }

  private key(event: KeyboardEvent): void {
    if (!this.work) return;
    if (event.key === "Escape") this.cancel();
    else if (event.key === " " && this.work.id === null) this.setCorner();
    else if (event.key === "Enter" && this.corners.length > 0) this.close();
    else return;
    event.preventDefault();
  }

  private setCorner(): void {
    if (this.cross.hidden) return;
    // A corner belongs where the map is going to, not where it glides past.
    if (this.view.map.isMoving()) {
      this.view.map.once("moveend", () => this.setCorner());
      return;
    }
    const { lng, lat } = this.view.map.getCenter();
    const corner: Ring[number] = [rounded(lng), rounded(lat)];
    if (this.corners.some(([x, y]) => x === corner[0] && y === corner[1])) {
      this.tell("There is a corner under the cross already: move the map first.");
      return;
    }
    this.corners.push(corner);
    // Half-drawn corners of the pointer would mix with these.
    if (this.corners.length === 1) this.draw?.setMode("select");
    this.draw?.clear();
    if (this.corners.length > 2) this.place([...this.corners, this.corners[0]!]);
    const rest = this.corners.length < 3 ? `${3 - this.corners.length} more needed.` : "Enter closes the shape.";
    this.tell(`Corner ${this.corners.length} set. ${rest}`);
  }

  private close(): void {
    if (this.corners.length < 3) {
      this.tell("A shape needs three corners.");
      return;
    }
    this.corner.hidden = this.cross.hidden = true;
    this.corners = [];
    this.tell("The shape is closed. Save keeps it.");
    this.form.querySelector<HTMLButtonElement>("[type=submit]")?.focus();
  }

  private drawn(): Polygon | null {
    const shapes = this.draw?.getSnapshot().filter((f) => f.properties["mode"] === "polygon") ?? [];
    const found = shapes.find((f) => f.geometry.type === "Polygon")?.geometry as Polygon | undefined;
    const rings = found?.coordinates.map((ring) => ring.map((corner) => corner.map(rounded)));
    return rings ? { type: "Polygon", coordinates: rings } : null;
  }

  private async save(): Promise<void> {
    const geometry = this.drawn();
    if (!geometry || !this.work || geometry.coordinates[0]!.length < 4) {
      this.tell("There is no closed shape yet: set at least three corners.");
      return;
    }
    const given = this.buffer.value === "" ? null : Number(this.buffer.value) * (this.us ? FOOT : 1);
    const { what, id } = this.work;
    const area = what === "no-spray" ? { kind: this.kind.value, note: this.note.value, ...(given !== null && { buffer: given }) } : {};
    const body = JSON.stringify({ what, ...(id !== null && { id }), ...area, geometry });
    this.tell("Saving …");
    try {
      const headers = { "Content-Type": "application/json", "X-Requested-With": "crownhold" };
      const answer = await fetch(this.url, { method: "POST", headers, body });
      const told = (await answer.json()) as { message?: string; href?: string; problems?: Problem[] };
      if (answer.ok) location.assign(told.href ?? location.href);
      else this.complain(told.problems ?? [{ what: `The server answered ${answer.status}.` }]);
    } catch {
      this.complain([{ what: "The desk does not answer.", remedy: "Is the program still running? Nothing was saved." }]);
    }
  }

  private cancel(): void {
    this.draw?.stop();
    this.draw = null;
    this.work = null;
    this.corners = [];
    this.view.yieldTo(false);
    this.form.hidden = this.cross.hidden = true;
    this.start.hidden = false;
    this.tell("Nothing was changed.");
    this.start.querySelector("button")?.focus();
  }

  private tell(text: string): void {
    this.say.classList.remove("cm-problem");
    this.say.textContent = text;
  }

  private complain(problems: Problem[]): void {
    this.say.classList.add("cm-problem");
    const line = (p: Problem): string => [p.what, p.expected, p.remedy].filter(Boolean).join(" ");
    this.say.replaceChildren(el("ul", {}, ...problems.map((p) => el("li", {}, line(p)))));
  }
}
