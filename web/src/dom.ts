// Elements made in one line.

type Child = Node | string | null | undefined | false;

/** An element with attributes (true: present, false: absent) and children. */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Record<string, string | number | boolean> = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(name, "");
    else if (value !== false) made.setAttribute(name, String(value));
  }
  made.append(...children.filter((c): c is Node | string => c !== null && c !== undefined && c !== false));
  return made;
}

/** A button that does something. */
export function button(text: string, act: () => void, attributes: Record<string, string | boolean> = {}): HTMLButtonElement {
  const made = el("button", { type: "button", ...attributes }, text);
  made.addEventListener("click", act);
  return made;
}
