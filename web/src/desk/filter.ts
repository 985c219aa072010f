// input[data-filter="ID"]: rows of table ID that do not hold every word are hidden. An <output for="the input">
// says how many are left.

export function filters(): void {
  for (const input of document.querySelectorAll<HTMLInputElement>("input[data-filter]")) {
    const table = document.getElementById(input.dataset["filter"] ?? "");
    if (!(table instanceof HTMLTableElement)) continue;
    const output = input.id ? document.querySelector<HTMLOutputElement>(`output[for~="${CSS.escape(input.id)}"]`) : null;
    const apply = (): void => {
      const words = input.value.toLowerCase().split(/\s+/).filter(Boolean);
      const rows = [...table.tBodies].flatMap((body) => [...body.rows]);
      for (const row of rows) {
        const text = (row.textContent ?? "").toLowerCase();
        row.hidden = !words.every((word) => text.includes(word));
      }
      const left = rows.filter((row) => !row.hidden).length;
      if (output) output.value = words.length === 0 ? "" : `${left} of ${rows.length} shown`;
    };
    input.addEventListener("input", apply);
    // A page that comes back from history keeps what was typed.
    apply();
  }
}
