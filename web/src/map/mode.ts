// The modes of the map.

export const MODES = ["plain", "density", "exceed", "fine", "loss", "plan", "compare", "areas"] as const;
export type Mode = (typeof MODES)[number];

/** The mode of an attribute; plain for anything unknown. */
export function modeOf(text: string | null): Mode {
  return MODES.find((mode) => mode === text) ?? "plain";
}

/** Are no-spray areas hatched, because the mode is about spraying? */
export const hatchesNoSpray = (mode: Mode): boolean => mode === "plan" || mode === "compare" || mode === "areas";
/** Are the survey's plots shown? */
export const showsPlots = (mode: Mode): boolean => mode === "plain" || mode === "density" || mode === "exceed" || mode === "fine";
