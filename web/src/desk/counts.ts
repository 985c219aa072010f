// form[data-count-grid]: counts of many plots typed without the mouse. Enter goes to the next row, arrows between
// cells, Ctrl+S saves, cells that differ from what is saved (data-saved, else the value the page came with) are
// marked. The server places the errors of a row. With an address in data-count-grid what the stop rule says follows the typing.

type Cell = HTMLInputElement;

/** The inputs of the grid, row by row. */
function cellsOf(form: HTMLFormElement): Cell[][] {
  const rows = [...form.querySelectorAll<HTMLTableRowElement>("tbody tr")];
  return rows
    .map((row) => [...row.querySelectorAll<Cell>("input:not([type=hidden])")])
    .filter((cells) => cells.length > 0);
}

function placeOf(grid: Cell[][], cell: Cell): [number, number] | null {
  const row = grid.findIndex((cells) => cells.includes(cell));
  return row < 0 ? null : [row, grid[row]!.indexOf(cell)];
}

function go(grid: Cell[][], row: number, column: number): boolean {
  const cells = grid[row];
  const cell = cells?.[Math.min(column, cells.length - 1)];
  if (!cell || column < 0) return false;
  cell.focus();
  cell.select();
  return true;
}

/** Left and right move on only from the end of what is typed. */
function atEdge(cell: Cell, key: string): boolean {
  if (cell.value === "" || cell.selectionStart === null) return true;
  if (cell.selectionStart === 0 && cell.selectionEnd === cell.value.length) return true;
  return key === "ArrowLeft" ? cell.selectionEnd === 0 : cell.selectionStart === cell.value.length;
}

function key(form: HTMLFormElement, event: KeyboardEvent): void {
  const cell = event.target;
  if (!(cell instanceof HTMLInputElement)) return;
  const grid = cellsOf(form);
  const place = placeOf(grid, cell);
  if (!place || event.altKey || event.metaKey || event.ctrlKey) return;
  const [row, column] = place;
  const last = grid[row]!.length - 1;
  const moves: Record<string, () => boolean> = {
    Enter: () => go(grid, row + (event.shiftKey ? -1 : 1), event.shiftKey ? column : 0) || toSave(form),
    ArrowDown: () => go(grid, row + 1, column),
    ArrowUp: () => go(grid, row - 1, column),
    ArrowRight: () => atEdge(cell, event.key) && column < last && go(grid, row, column + 1),
    ArrowLeft: () => atEdge(cell, event.key) && column > 0 && go(grid, row, column - 1),
  };
  const moved = moves[event.key]?.();
  // Enter must never post a half-filled grid, nor up and down change a number.
  if (moved || ["Enter", "ArrowUp", "ArrowDown"].includes(event.key)) event.preventDefault();
}

function toSave(form: HTMLFormElement): boolean {
  form.querySelector<HTMLButtonElement>("button[type=submit], button:not([type])")?.focus();
  return true;
}

function mark(form: HTMLFormElement): void {
  const changed = cellsOf(form).flat().filter((cell) => {
    const differs = cell.value !== (cell.dataset["saved"] ?? cell.defaultValue);
    cell.toggleAttribute("data-unsaved", differs);
    return differs;
  }).length;
  const output = form.querySelector<HTMLOutputElement>("output[data-unsaved-count]");
  if (output) output.value = changed === 0 ? "" : `${changed} ${changed === 1 ? "cell" : "cells"} not saved yet`;
}

const PAUSE = 350;

/** Asks what the stop rule says with what is typed in the block of a cell; shown below the grid. */
function advise(form: HTMLFormElement): (event: Event) => void {
  const output = form.querySelector<HTMLOutputElement>("output[data-stop-advice]");
  const address = form.dataset["countGrid"];
  let turn = 0;
  return (event) => {
    const row = event.target instanceof HTMLElement ? event.target.closest<HTMLTableRowElement>("tr[data-block]") : null;
    if (!output || !address || !row) return;
    const mine = ++turn;
    setTimeout(async () => {
      if (mine !== turn) return;
      const asked = new URLSearchParams({ date: form.querySelector<HTMLInputElement>("input[type=date]")?.value ?? "" });
      for (const other of form.querySelectorAll<HTMLTableRowElement>("tr[data-block]")) {
        if (other.dataset["block"] !== row.dataset["block"]) continue;
        for (const cell of other.querySelectorAll<Cell>("input")) if (cell.value.trim()) asked.append(cell.name, cell.value);
      }
      const answer = await fetch(`${address}?${asked}`).catch(() => null);
      if (mine === turn && answer?.ok) output.value = await answer.text();
    }, PAUSE);
  };
}

export function countGrids(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-count-grid]")) {
    let saving = false;
    form.addEventListener("keydown", (event) => key(form, event));
    form.addEventListener("input", () => mark(form));
    form.addEventListener("input", advise(form));
    form.addEventListener("submit", () => (saving = true));
    document.addEventListener("keydown", (event) => {
      if (event.key.toLowerCase() !== "s" || !(event.ctrlKey || event.metaKey)) return;
      event.preventDefault();
      form.requestSubmit();
    });
    window.addEventListener("beforeunload", (event) => {
      if (!saving && form.querySelector("[data-unsaved]")) event.preventDefault();
    });
    mark(form);
    form.querySelector<HTMLInputElement>("[aria-invalid=true], [autofocus]")?.focus();
  }
}
