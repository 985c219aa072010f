// The layers of the map, from the ground up. All are always there; a mode hides what it does not use.

import type { ExpressionSpecification, LayerSpecification } from "maplibre-gl";

import { crossHatch } from "./images";
import { hatchesNoSpray, showsPlots, type Mode } from "./mode";
import type { Theme } from "./theme";

/** Acts that have a pattern. */
export const MARKED = ["scraping", "bands", "ground Btk"];

export interface Zooms {
  /** From here on plates have two lines. */
  plates: number;
  /** From here on single trees are drawn. */
  trees: number;
  /** Half the side of a square between the plots, in pixels at zoom 10. */
  square: number;
}

const IS_WATER: ExpressionSpecification = ["==", ["get", "kind"], "water"];
const state = (name: string, spare: string | number): ExpressionSpecification => [
  "coalesce",
  ["feature-state", name],
  spare,
];
const shown = (is: boolean): { visibility: "visible" | "none" } => ({ visibility: is ? "visible" : "none" });

export function layers(theme: Theme, mode: Mode, zooms: Zooms): LayerSpecification[] {
  return [
    { id: "ground", type: "background", paint: { "background-color": theme.of("map-ground") } },
    ...blockLayers(theme),
    ...waterLayers(theme),
    ...noSprayLayers(theme, mode),
    ...squareLayers(theme, mode, zooms),
    ...treeLayers(theme, zooms),
    ...plotLayers(theme, mode),
    ...choiceLayers(theme),
    ...plateLayers(zooms),
  ];
}

function blockLayers(theme: Theme): LayerSpecification[] {
  const pattern = (id: string, property: string): LayerSpecification => ({
    id,
    type: "fill",
    source: "blocks",
    filter: ["has", property],
    paint: { "fill-pattern": ["get", property] },
  });
  return [
    {
      id: "blocks",
      type: "fill",
      source: "blocks",
      paint: {
        "fill-color": ["to-color", state("fill", theme.of("paper"))],
        "fill-opacity": state("opacity", 1) as ExpressionSpecification,
      },
    },
    pattern("blocks-hatch", "hatch"),
    ...MARKED.map((act) => pattern(`blocks-${act}`, act)),
    {
      id: "blocks-edge",
      type: "line",
      source: "blocks",
      layout: { "line-join": "round" },
      paint: {
        "line-color": theme.of("map-edge"),
        "line-width": ["interpolate", ["linear"], ["zoom"], 11, 0.5, 13, 1, 16, 1.6],
      },
    },
  ];
}

function waterLayers(theme: Theme): LayerSpecification[] {
  return [
    {
      id: "water",
      type: "fill",
      source: "no-spray",
      filter: IS_WATER,
      paint: { "fill-color": theme.of("map-water"), "fill-opacity": 1 },
    },
    {
      id: "shore",
      type: "line",
      source: "no-spray",
      filter: IS_WATER,
      paint: { "line-color": theme.of("map-shore"), "line-width": 1 },
    },
  ];
}

function noSprayLayers(theme: Theme, mode: Mode): LayerSpecification[] {
  const hatched = hatchesNoSpray(mode);
  const edge = (id: string, colour: string, width: number, dash?: number[]): LayerSpecification => ({
    id,
    type: "line",
    source: "no-spray",
    filter: ["!", IS_WATER],
    layout: { "line-join": "round" },
    paint: {
      "line-color": colour,
      "line-width": hatched ? width : width * 0.7,
      "line-opacity": hatched ? 1 : 0.75,
      ...(dash && { "line-dasharray": dash }),
    },
  });
  return [
    {
      id: "no-spray-hatch",
      type: "fill",
      source: "no-spray",
      filter: ["!", IS_WATER],
      layout: shown(hatched),
      paint: { "fill-pattern": crossHatch(theme.of("guard"), theme.of("paper")) },
    },
    edge("no-spray-under", theme.of("paper"), 3.2),
    edge("no-spray-edge", theme.of("guard"), 1.6, [3, 1.6]),
    {
      id: "no-spray-chosen",
      type: "line",
      source: "no-spray",
      layout: { "line-join": "round" },
      paint: {
        "line-color": theme.of("guard"),
        "line-width": ["case", ["boolean", ["feature-state", "chosen"], false], 4, 0],
      },
    },
  ];
}

/** Dots in squares: the tone says how dense, the size how sure. A step of zoom doubles them with the ground. */
function squareLayers(theme: Theme, mode: Mode, zooms: Zooms): LayerSpecification[] {
  const size = (zoom: number): ExpressionSpecification => ["*", zooms.square * 2 ** (zoom - 10), ["get", "r"]];
  const tones = [0, 1, 2, 3, 4, 5].flatMap((at) => [at, theme.of(`d${at}`)]);
  return [
    {
      id: "squares",
      type: "circle",
      source: "squares",
      layout: shown(mode === "fine"),
      paint: {
        "circle-color": ["match", ["get", "c"], ...tones, theme.of("d6")] as unknown as ExpressionSpecification,
        "circle-radius": ["interpolate", ["exponential", 2], ["zoom"], 8, size(8), 20, size(20)],
        "circle-stroke-color": theme.of("map-edge"),
        "circle-stroke-width": ["interpolate", ["linear"], ["zoom"], 13, 0, 15, 0.6],
      },
    },
  ];
}

function treeLayers(theme: Theme, zooms: Zooms): LayerSpecification[] {
  return [
    {
      id: "trees",
      type: "circle",
      source: "trees",
      minzoom: zooms.trees,
      paint: {
        "circle-color": [
          "match",
          ["get", "c"],
          0,
          theme.of("tree-susceptible"),
          1,
          theme.of("tree-resistant"),
          theme.of("tree-other"),
        ],
        "circle-radius": ["interpolate", ["exponential", 1.6], ["zoom"], zooms.trees, 1.5, zooms.trees + 4, 6],
        "circle-opacity": 0.85,
      },
    },
  ];
}

function plotLayers(theme: Theme, mode: Mode): LayerSpecification[] {
  return [
    {
      id: "plots",
      type: "circle",
      source: "plots",
      layout: shown(showsPlots(mode)),
      paint: {
        "circle-color": ["case", ["get", "visited"], theme.of("ink"), theme.of("paper")],
        "circle-radius": ["interpolate", ["linear"], ["zoom"], 11, 1.6, 13, 2.3, 16, 6],
        "circle-stroke-color": ["case", ["get", "visited"], theme.of("paper"), theme.of("ink")],
        "circle-stroke-width": ["interpolate", ["linear"], ["zoom"], 11, 0.7, 16, 1.8],
      },
    },
  ];
}

/** Outlines of the block under the pointer and of the chosen one: sources of their own, of one block each. */
function choiceLayers(theme: Theme): LayerSpecification[] {
  const outline = (id: string, source: string, token: "paper" | "ink", width: number): LayerSpecification => ({
    id,
    type: "line",
    source,
    layout: { "line-join": "round" },
    paint: { "line-color": theme.of(token), "line-width": width },
  });
  return [
    { ...outline("strong", "blocks", "ink", 1.4), filter: ["has", "strong"] } as LayerSpecification,
    outline("pointed", "pointed", "ink", 2),
    outline("chosen-under", "chosen", "paper", 6),
    outline("chosen", "chosen", "ink", 3),
  ];
}

/** Two layers: only a layer's own zooms take effect between whole zooms. */
function plateLayers(zooms: Zooms): LayerSpecification[] {
  const layer = (name: "small" | "large"): LayerSpecification => ({
    id: `plates-${name}`,
    type: "symbol",
    source: "plates",
    filter: ["has", name],
    ...(name === "small" ? { maxzoom: zooms.plates } : { minzoom: zooms.plates }),
    layout: { "icon-image": ["get", name], "icon-padding": 1 },
  });
  return [layer("small"), layer("large")];
}
