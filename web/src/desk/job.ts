// [data-job="ADDRESS"]: the page of a piece of work, kept up to date by the work's own events. Without script the
// page is fetched anew every second.

export function jobPages(): void {
  for (const box of document.querySelectorAll<HTMLElement>("[data-job]")) {
    const phase = box.querySelector("label");
    const bar = box.querySelector("progress");
    const events = new EventSource(box.dataset["job"] ?? "");
    events.onmessage = (event: MessageEvent<string>) => {
      const told = JSON.parse(event.data) as { phase: string; share: number };
      if (phase) phase.textContent = told.phase;
      if (bar) bar.value = told.share * bar.max;
    };
    events.addEventListener("done", (event) => {
      events.close();
      // Going back leads to where the work was asked for, not to work that is over.
      location.replace((JSON.parse((event as MessageEvent<string>).data) as { href: string }).href);
    });
    events.addEventListener("failed", () => {
      events.close();
      location.reload();
    });
  }
}
