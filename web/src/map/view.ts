// The moving map itself: MapLibre without any basemap or fonts, fed with our own shapes only.

import { Map as GlMap, setWorkerUrl, type GeoJSONSource, type MapMouseEvent } from "maplibre-gl";
import type { Feature, FeatureCollection, Point } from "geojson";

import { el } from "../dom";
import type { City, Squares, Trees } from "./feed";
import { crossHatch, loadFace, picture, PIXEL_RATIO } from "./images";
import { layers, type Zooms } from "./layers";
import { hatchesNoSpray, showsPlots, type Mode } from "./mode";
import type { LegendGroup, LegendItem, Painting } from "./painting";
import { ScaleBar } from "./scale";
import type { Theme } from "./theme";

declare const MAP_WORKER: string;
setWorkerUrl(new URL(MAP_WORKER, import.meta.url).href);

const EMPTY: FeatureCollection = { type: "FeatureCollection", features: [] };
/** Pixels left free around the city; more below, where the scale bar stands. */
const MARGIN = { top: 12, right: 12, bottom: 46, left: 12 };
/** Side of the median block, in pixels, from which plates have two lines and trees are drawn. */
const PLATE_SIDE = 40;
const TREE_SIDE = 95;
/** Length of a degree of latitude, metres; good enough for a scale bar. */
const METRES_PER_DEGREE = 111_320;

const WORDS = {
  "Map.Title": "Map. Arrow keys move it, plus and minus zoom, Page Down and Page Up step through the blocks, Enter opens one.",
  "CooperativeGesturesHandler.WindowsHelpText": "Hold Ctrl and scroll to zoom the map",
  "CooperativeGesturesHandler.MacHelpText": "Hold ⌘ and scroll to zoom the map",
  "CooperativeGesturesHandler.MobileHelpText": "Move the map with two fingers",
};

export class View {
  chosen: string | null = null;
  onPoint: (id: string | null) => void = () => {};
  onChoose: (id: string) => void = () => {};
  onArea: ((id: string) => boolean) | null = null;
  onOpen: () => void = () => {};
  onStep: (by: number) => void = () => {};

  /** While a shape is drawn, clicks and keys are for the shape. */
  private drawn = false;
  private pointed: string | null = null;
  private zooms: Zooms;
  private data = "";
  private hasTrees = false;
  private readonly scale: ScaleBar;

  private constructor(
    readonly map: GlMap,
    readonly stage: HTMLElement,
    private city: City,
    us: boolean,
  ) {
    this.zooms = zoomsOf(city);
    this.scale = new ScaleBar(us);
    const north = el("span", { class: "cm-north" }, "↑ North");
    stage.append(el("div", { class: "cm-foot" }, this.scale.element, north));
    map.on("move", () => this.showScale());
    this.showScale();
    this.listen();
  }

  /** Opens the map on a city; resolves when it can be drawn on. */
  static async open(stage: HTMLElement, city: City, theme: Theme, us: boolean): Promise<View> {
    await loadFace();
    const map = new GlMap({
      container: stage,
      style: {
        version: 8,
        sources: {
          blocks: { type: "geojson", data: EMPTY, promoteId: "id" },
          "no-spray": { type: "geojson", data: city.noSpray, promoteId: "id" },
          squares: { type: "geojson", data: EMPTY, maxzoom: 14, buffer: 64 },
          trees: { type: "geojson", data: EMPTY, maxzoom: 14, buffer: 16 },
          plots: { type: "geojson", data: city.plots },
          plates: { type: "geojson", data: EMPTY },
          pointed: { type: "geojson", data: EMPTY },
          chosen: { type: "geojson", data: EMPTY },
        },
        layers: layers(theme, "plain", zoomsOf(city)),
        transition: { duration: 0, delay: 0 },
      },
      ...(city.bounds && { bounds: city.bounds, fitBoundsOptions: { padding: MARGIN } }),
      attributionControl: false,
      renderWorldCopies: false,
      dragRotate: false,
      pitchWithRotate: false,
      touchPitch: false,
      fadeDuration: 0,
      maxZoom: 19,
      cooperativeGestures: true,
      locale: WORDS,
    });
    map.touchZoomRotate.disableRotation();
    map.keyboard.disableRotation();
    map.setMissingStyleImageResolver((id) => {
      const drawn = picture(id);
      if (drawn && !map.hasImage(id)) map.addImage(id, drawn, { pixelRatio: PIXEL_RATIO });
    });
    await map.once("load");
    map.setMinZoom(Math.max(0, map.getZoom() - 1.5));
    return new View(map, stage, city, us);
  }

  remove(): void {
    this.map.remove();
  }

  setCity(city: City): void {
    this.city = city;
    this.data = "";
    this.zooms = { ...zoomsOf(city), square: this.zooms.square };
    this.source("no-spray").setData(city.noSpray);
    this.source("plots").setData(city.plots);
  }

  setTrees(trees: Trees): void {
    const features = trees.lon.map(
      (lon, i): Feature<Point> => ({
        type: "Feature",
        geometry: { type: "Point", coordinates: [lon, trees.lat[i]!] },
        properties: { c: trees.class[i]! },
      }),
    );
    this.hasTrees = true;
    this.source("trees").setData({ type: "FeatureCollection", features });
  }

  /** Squares between the plots with the tone and the size of their dots. */
  setSquares(squares: Squares, dots: { c: number; r: number }[]): void {
    const features = dots.map(
      (dot, i): Feature<Point> => ({
        type: "Feature",
        geometry: { type: "Point", coordinates: [squares.lon[i]!, squares.lat[i]!] },
        properties: dot,
      }),
    );
    const middle = this.map.getCenter().lat;
    // Pixels of a metre at zoom 10, where the world is 512 * 2^10 pixels wide.
    const pixels = (512 * 2 ** 10) / (360 * METRES_PER_DEGREE * Math.cos((middle * Math.PI) / 180));
    this.zooms = { ...this.zooms, square: 0.5 * squares.side * pixels };
    this.source("squares").setData({ type: "FeatureCollection", features });
  }

  /** Draws what a mode makes of the city. */
  show(painting: Painting, mode: Mode, theme: Theme): void {
    for (const layer of layers(theme, mode, this.zooms)) {
      const { paint = {}, layout = {} } = layer as { paint?: Record<string, unknown>; layout?: Record<string, unknown> };
      for (const [name, value] of Object.entries(paint)) this.map.setPaintProperty(layer.id, name as never, value as never);
      for (const [name, value] of Object.entries(layout)) {
        this.map.setLayoutProperty(layer.id, name as never, value as never);
      }
    }
    this.setBlocks(painting);
    for (const [id, { fill, opacity }] of painting.looks) {
      this.map.setFeatureState({ source: "blocks", id }, { fill, opacity });
    }
  }

  /** Patterns and plates sit in the data, which is sent anew only when it has changed; tones are feature states. */
  private setBlocks(painting: Painting): void {
    const patterns = (id: string): Record<string, unknown> => {
      const look = painting.looks.get(id);
      return { id, ...(look?.hatch && { hatch: look.hatch }), ...(look?.strong && { strong: true }), ...look?.marks };
    };
    const blocks = this.city.blocks.features.map((f) => ({ ...f, properties: patterns(f.properties.id) }));
    const plates = this.city.blocks.features.flatMap(({ properties: { id, label } }): Feature<Point>[] => {
      const { small, large } = painting.looks.get(id) ?? {};
      const properties = { ...(small && { small }), ...(large && { large }) };
      return label ? [{ type: "Feature", geometry: { type: "Point", coordinates: label }, properties }] : [];
    });
    const data = JSON.stringify([blocks.map((b) => b.properties), plates.map((p) => p.properties)]);
    if (data === this.data) return;
    this.data = data;
    this.source("blocks").setData({ type: "FeatureCollection", features: blocks });
    this.source("plates").setData({ type: "FeatureCollection", features: plates });
  }

  /** What is on the map in every mode. */
  commonLegend(mode: Mode, theme: Theme): LegendGroup[] {
    const items: LegendItem[] = [];
    const kinds = new Set(this.city.noSpray.features.map((f) => f.properties.kind));
    const hatch = crossHatch(theme.of("guard"), theme.of("paper"));
    if (kinds.size > (kinds.has("water") ? 1 : 0)) {
      items.push({
        fill: theme.of("paper"),
        ...(hatchesNoSpray(mode) && { pictures: [hatch] }),
        ...(!hatchesNoSpray(mode) && { letters: "– –", ink: theme.of("guard") }),
        text: "No-spray area, without its buffer",
      });
    }
    if (kinds.has("water")) items.push({ fill: theme.of("map-water"), text: hatchesNoSpray(mode) ? "Water, not sprayed either" : "Water" });
    const dot = (ink: string, letters = "●"): Partial<LegendItem> => ({ fill: theme.of("map-built"), letters, ink });
    if (showsPlots(mode) && this.city.plots.features.length > 0) {
      items.push({ ...dot(theme.of("ink")), text: "Plot, counted" } as LegendItem);
      items.push({ ...dot(theme.of("ink"), "○"), text: "Plot, not counted yet" } as LegendItem);
    }
    if (this.hasTrees || mode === "plain") {
      items.push({ ...dot(theme.of("tree-susceptible")), text: "Favoured tree (zoom in)" } as LegendItem);
      items.push({ ...dot(theme.of("tree-resistant")), text: "Less favoured tree" } as LegendItem);
      items.push({ ...dot(theme.of("tree-other")), text: "Other or unknown tree" } as LegendItem);
    }
    return [{ items }];
  }

  fit(): void {
    if (this.city.bounds) this.map.fitBounds(this.city.bounds, { padding: MARGIN });
  }

  zoom(by: number): void {
    this.map.easeTo({ zoom: this.map.getZoom() + by, duration: 200 });
  }

  choose(id: string | null): void {
    this.chosen = id;
    this.outline("chosen", id);
  }

  private outline(source: "chosen" | "pointed", id: string | null): void {
    const features = this.city.blocks.features.filter((f) => f.properties.id === id);
    this.source(source).setData({ type: "FeatureCollection", features });
  }

  /** Leaves clicks and keys to a drawing, or takes them back. */
  yieldTo(drawing: boolean): void {
    this.drawn = drawing;
    if (drawing) this.map.doubleClickZoom.disable();
    else this.map.doubleClickZoom.enable();
  }

  /** Frames a no-spray area, or takes the frame away. */
  frameArea(id: string | null, on: boolean): void {
    if (id !== null) this.map.setFeatureState({ source: "no-spray", id }, { chosen: on });
  }

  /** Moves the map until the block is well inside. */
  bring(id: string): void {
    const at = this.city.blocks.features.find((f) => f.properties.id === id)?.properties.label;
    if (!at) return;
    const { x, y } = this.map.project(at);
    const { clientWidth: wide, clientHeight: tall } = this.stage;
    const inside = x > 60 && y > 60 && x < wide - 60 && y < tall - 60;
    if (!inside) this.map.easeTo({ center: at, duration: 250 });
  }

  source(name: string): GeoJSONSource {
    return this.map.getSource(name) as GeoJSONSource;
  }

  private listen(): void {
    this.map.on("mousemove", (event) => {
      // While the map is dragged nothing is pointed at, and looking for it would cost frames.
      if (!this.map.isMoving() && !this.drawn) this.point(this.at(event, "blocks"));
    });
    this.map.on("mouseout", () => this.point(null));
    this.map.on("click", (event) => this.click(event));
    this.map.getCanvas().addEventListener("keydown", (event) => this.key(event));
  }

  private at(event: MapMouseEvent, ...names: string[]): string | null {
    const found = this.map.queryRenderedFeatures(event.point, { layers: names })[0];
    return found ? String(found.properties["id"]) : null;
  }

  private point(id: string | null): void {
    if (id === this.pointed) return;
    this.pointed = id;
    this.outline("pointed", id);
    this.map.getCanvas().style.cursor = id ? "pointer" : "";
    this.onPoint(id);
  }

  private click(event: MapMouseEvent): void {
    if (this.drawn) return;
    const area = this.onArea ? this.at(event, "no-spray-hatch", "water") : null;
    if (area && this.onArea?.(area)) return;
    const id = this.at(event, "blocks");
    if (!id) return;
    if (id === this.chosen) this.onOpen();
    else this.onChoose(id);
  }

  private key(event: KeyboardEvent): void {
    const act = {
      PageDown: () => this.onStep(1),
      PageUp: () => this.onStep(-1),
      Home: () => this.fit(),
      Enter: () => this.onOpen(),
    }[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey || this.drawn) return;
    event.preventDefault();
    act();
  }

  private showScale(): void {
    const bounds = this.map.getBounds();
    const metres = (bounds.getNorth() - bounds.getSouth()) * METRES_PER_DEGREE;
    this.scale.show(metres / Math.max(1, this.stage.clientHeight));
  }
}

/** The zooms at which the median block has the sides that plates and trees need. */
function zoomsOf(city: City): Zooms {
  const sides = city.blocks.features
    .map((f) => {
      const xs = f.geometry.coordinates.flat(2).map((p) => p[0]!);
      return Math.max(...xs) - Math.min(...xs);
    })
    .sort((a, b) => a - b);
  const side = sides[Math.floor(sides.length / 2)] ?? 0.005;
  // MapLibre's world is 512 pixels wide at zoom 0.
  const zoomFor = (pixels: number): number => Math.log2((pixels * 360) / (512 * side));
  return { plates: zoomFor(PLATE_SIDE), trees: zoomFor(TREE_SIDE), square: 0 };
}
