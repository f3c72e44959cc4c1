// Elements of the page. Text goes in as text, never as markup.

export type Child = Node | string | null | false | undefined | readonly Child[];
type Attributes = Readonly<Record<string, string | number | boolean | null | undefined | ((event: never) => void)>>;

export function h<K extends keyof HTMLElementTagNameMap>(tag: K, attributes: Attributes = {}, ...children: Child[]): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value as unknown as EventListener);
    else if (name.startsWith("aria-") && typeof value === "boolean") element.setAttribute(name, String(value));
    else if (value === true) element.setAttribute(name, "");
    else if (value !== null && value !== undefined && value !== false) element.setAttribute(name, String(value));
  }
  add(element, children);
  return element;
}

export function add(element: Element, children: readonly Child[]): void {
  for (const child of children) {
    if (child === null || child === undefined || child === false) continue;
    if (typeof child === "string") element.append(child);
    else if (child instanceof Node) element.append(child);
    else add(element, child);
  }
}

let last = 0;
/** A name that no other element has. */
export const fresh = (stem: string): string => `${stem}-${++last}`;

export const button = (text: string, press: (event: MouseEvent) => void, look = "plain-button"): HTMLButtonElement =>
  h("button", { type: "button", class: look, click: press as (event: never) => void }, text);

export const link = (text: Child, href: string, look?: string): HTMLAnchorElement => h("a", { href, class: look ?? null }, text);

/** A field with its label above and, where there is one, a hint below that is read with it. */
export function field(label: string, control: HTMLElement, hint?: string, lang?: string): HTMLElement {
  control.id ||= fresh("field");
  const note = hint ? h("small", { id: `${control.id}-hint`, class: "hint" }, hint) : null;
  if (note) control.setAttribute("aria-describedby", note.id);
  if (lang && /^(INPUT|TEXTAREA)$/.test(control.tagName)) control.setAttribute("lang", lang);
  return h("div", { class: "field" }, h("label", { for: control.id }, label), control, note);
}

/** One of several, each a plain sentence. */
export function choices(legend: string, name: string, all: readonly (readonly [string, string])[], chosen: string | null, choose: (value: string) => void): HTMLFieldSetElement {
  const group = fresh(name);
  return h(
    "fieldset",
    { class: "choices" },
    h("legend", {}, legend),
    all.map(([value, text]) => {
      const input = h("input", { type: "radio", name: group, value, change: () => choose(value) });
      input.checked = value === chosen;
      return h("label", {}, input, h("span", {}, text));
    }),
  );
}

export function select(all: readonly (readonly [string, string])[], chosen: string, choose: (value: string) => void): HTMLSelectElement {
  const element = h("select", { change: (event: Event) => choose((event.target as HTMLSelectElement).value) } as never);
  for (const [value, text] of all) element.append(h("option", { value, selected: value === chosen }, text));
  return element;
}
