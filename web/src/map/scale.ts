// A scale bar of a round length.

import { el } from "../dom";
import { figure } from "./words";

const MOST_PIXELS = 130;
const FOOT = 0.3048;
const MILE = 5280 * FOOT;

/** The largest of 1, 2 or 5 times a power of ten that is no longer than `most` metres, with its words. */
export function roundLength(most: number, us: boolean): { metres: number; words: string } {
  // Half a mile reads better than 2,500 ft, but half a kilometre reads as 500 m.
  const big = us ? most >= MILE / 2 : most >= 1000;
  const [unit, name] = us ? (big ? [MILE, "mi"] : [FOOT, "ft"]) : big ? [1000, "km"] : [1, "m"];
  const decade = 10 ** Math.floor(Math.log10(most / unit));
  const value = [5, 2, 1].map((n) => n * decade).find((n) => n * unit <= most) ?? decade;
  return { metres: value * unit, words: `${value < 1 ? value : figure(value)} ${name}` };
}

export class ScaleBar {
  readonly element = el("div", { class: "cm-scale" });
  private readonly bar = el("span", { class: "cm-bar" });
  private readonly words = el("span");

  constructor(private readonly us: boolean) {
    this.element.append(this.bar, this.words);
  }

  /** Draws it for a map on which one pixel is so many metres. */
  show(metresPerPixel: number): void {
    const { metres, words } = roundLength(MOST_PIXELS * metresPerPixel, this.us);
    this.bar.style.width = `${metres / metresPerPixel}px`;
    this.words.textContent = words;
  }
}
