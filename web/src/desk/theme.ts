// Light, dark or as the computer is set: <button data-theme-choice="dark">, or a <select data-theme-choice>.
// The choice is kept in the cookie "theme", so that the server's next page comes in it.

const YEAR = 365 * 24 * 3600;
const CHOICES = ["auto", "light", "dark"];

function current(): string {
  return document.documentElement.dataset["theme"] ?? "auto";
}

function choose(choice: string): void {
  if (!CHOICES.includes(choice)) return;
  if (choice === "auto") delete document.documentElement.dataset["theme"];
  else document.documentElement.dataset["theme"] = choice;
  document.cookie = `theme=${choice}; Path=/; Max-Age=${YEAR}; SameSite=Strict`;
  show();
}

function show(): void {
  for (const control of document.querySelectorAll<HTMLElement>("[data-theme-choice]")) {
    if (control instanceof HTMLSelectElement) control.value = current();
    else control.setAttribute("aria-pressed", String(control.dataset["themeChoice"] === current()));
  }
}

export function themeChoices(): void {
  for (const control of document.querySelectorAll<HTMLElement>("[data-theme-choice]")) {
    if (control instanceof HTMLSelectElement) control.addEventListener("change", () => choose(control.value));
    else {
      control.addEventListener("click", (event) => {
        event.preventDefault();
        choose(control.dataset["themeChoice"] ?? "auto");
      });
    }
  }
  show();
}
