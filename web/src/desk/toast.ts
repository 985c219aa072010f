// [data-toast]: the line that says what was just done, with its Undo. It takes the focus, so that it is read out
// and Undo is the next stop of the Tab key. Escape closes it.

export function toasts(): void {
  const toast = document.querySelector<HTMLElement>("[data-toast]");
  if (!toast) return;
  toast.tabIndex = -1;
  toast.focus({ preventScroll: true });
  toast.addEventListener("keydown", (event) => {
    if (event.key === "Escape") toast.remove();
  });
}
