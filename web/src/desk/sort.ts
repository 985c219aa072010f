// table[data-sort]: a button in every head cell sorts the body. A cell's data-value is sorted by, else its text;
// columns with th[data-sort="none"] are left alone.

type Order = "ascending" | "descending";

/** A number, also with thousands separators, a unit or a sign behind it; null for other texts. */
export function numberIn(text: string): number | null {
  const found = /^[<>≈]?\s*[$]?(-?[\d,]*\.?\d+)/.exec(text.trim().replace("−", "-"));
  return found ? Number(found[1]!.replaceAll(",", "")) : null;
}

function valueOf(row: HTMLTableRowElement, column: number): string {
  const cell = row.cells[column];
  return cell?.dataset["value"] ?? cell?.textContent?.trim() ?? "";
}

/** Numbers by size, before texts by the language's order; empty cells last, whichever way. */
export function compare(a: string, b: string, order: Order): number {
  if (a === "" || b === "") return Number(a === "") - Number(b === "");
  const [x, y] = [numberIn(a), numberIn(b)];
  const by =
    x !== null && y !== null
      ? x - y
      : Number(x === null) - Number(y === null) || a.localeCompare(b, undefined, { numeric: true });
  return order === "ascending" ? by : -by;
}

function sortBy(table: HTMLTableElement, head: HTMLTableCellElement): void {
  const order: Order = head.getAttribute("aria-sort") === "ascending" ? "descending" : "ascending";
  for (const other of table.tHead?.querySelectorAll("th") ?? []) other.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", order);
  for (const body of table.tBodies) {
    const rows = [...body.rows];
    const keyed = rows.map((row) => ({ row, key: valueOf(row, head.cellIndex) }));
    keyed.sort((a, b) => compare(a.key, b.key, order));
    body.append(...keyed.map((k) => k.row));
  }
}

export function sortableTables(): void {
  for (const table of document.querySelectorAll<HTMLTableElement>("table[data-sort]")) {
    for (const head of table.tHead?.rows[0]?.cells ?? []) {
      if (head.dataset["sort"] === "none" || head.tagName !== "TH") continue;
      const button = document.createElement("button");
      button.type = "button";
      button.className = "sort";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => sortBy(table, head as HTMLTableCellElement));
    }
  }
}
