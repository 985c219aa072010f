// button[data-theme-switch]: light or dark, whichever is not shown now. A choice that is also the computer's own is
// kept as "auto", so that the desk follows the computer again. The server's next page comes in what the cookie says.

const YEAR = 365 * 24 * 3600;
const computersOwn = (): string => (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");

function shown(): string {
  const chosen = document.documentElement.dataset["theme"] ?? "auto";
  return chosen === "auto" ? computersOwn() : chosen;
}

function turn(): void {
  const other = shown() === "dark" ? "light" : "dark";
  const choice = other === computersOwn() ? "auto" : other;
  document.documentElement.dataset["theme"] = choice;
  document.cookie = `theme=${choice}; Path=/; Max-Age=${YEAR}; SameSite=Strict`;
}

export function themeSwitches(): void {
  for (const control of document.querySelectorAll<HTMLElement>("[data-theme-switch]")) {
    control.hidden = false;
    control.addEventListener("click", turn);
  }
}
