// The facts of one block in words.

import { el } from "../dom";
import type { BlockFacts } from "./feed";
import { capital } from "./words";

/** Characters from which a text gets the whole width. */
const LONG = 70;

export function card(block: BlockFacts, facts: [string, string][], href: string | null): HTMLElement[] {
  const named = block.name !== block.id && block.name !== "" ? ` ${block.name}` : "";
  const place = [capital(block.use), block.area, block.neighbourhood].filter((p): p is string => !!p).join(" · ");
  const wide = (text: string): string => (text.length > LONG ? "cm-long" : "");
  const list = el(
    "dl",
    {},
    ...facts.flatMap(([term, text]) => [el("dt", {}, term), el("dd", { class: wide(text) }, text)]),
  );
  const made = [el("p", { class: "cm-title" }, el("b", {}, block.id), named), el("p", { class: "cm-place" }, place), list];
  return href ? [...made, el("p", {}, el("a", { href }, `Open block ${block.id}`))] : made;
}
