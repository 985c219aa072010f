// What may wait until the page is there to be read: still drawings under others, and the moving map.
//
// The server puts a heavy drawing into <noscript>: a browser without scripts shows it at once, one with scripts
// reads it as text and draws it later.

/** Resolves once the page has been painted; in a tab that is not painted, after a moment. */
export function afterPaint(): Promise<void> {
  return new Promise((done) => {
    requestAnimationFrame(() => setTimeout(done));
    setTimeout(done, 1000);
  });
}

/** Puts the drawing inside an element's <noscript> in its place; does nothing where there is none. */
export function unfold(element: Element): void {
  const folded = element.querySelector("noscript");
  if (!folded) return;
  const drawn = document.createElement("template");
  drawn.innerHTML = folded.textContent ?? "";
  folded.replaceWith(drawn.content);
}

/** Draws what was left for later, then fetches the modules that the page named for then. */
export async function later(): Promise<void> {
  await afterPaint();
  document.querySelectorAll("[data-later]").forEach(unfold);
  for (const link of document.querySelectorAll<HTMLLinkElement>("link[rel=modulepreload][data-later]")) await import(link.href);
}
