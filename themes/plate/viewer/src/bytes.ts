// A file's bytes: fetched, or where a page may fetch nothing (a copy opened from a disk), brought by a
// classic script that carries them. What the page's first script asks for, the viewer's takes over.

import type { Carried } from "./handed";

interface Shared {
  /** Files that have arrived, by the name of the script that brought them. */
  readonly arrived: Map<string, string>;
  /** Files that were asked for before anybody was there to read them, by their address. */
  readonly early: Map<string, Promise<Carried>>;
}

declare global {
  interface Window {
    carried?: (name: string, base64: string) => void;
    /** Both scripts of a page have these lines, and must mean the same files. */
    files?: Shared;
  }
}

const shared = (): Shared => (window.files ??= { arrived: new Map(), early: new Map() });

/** Asks for a file that `bytes` will be asked for. */
export function ask(href: string): void {
  const file = load(href);
  // Whoever takes it over hears of a failure; until then it is nobody's.
  file.catch(() => {});
  shared().early.set(href, file);
}

export async function bytes(href: string): Promise<Carried> {
  const { early } = shared();
  const file = early.get(href) ?? load(href);
  early.delete(href);
  return file;
}

async function load(href: string): Promise<Carried> {
  if (href.endsWith(".js")) return carried(href);
  const response = await fetch(href);
  if (!response.ok) throw new Error(`${response.status}`);
  return response.arrayBuffer();
}

function carried(href: string): Promise<Carried> {
  const { arrived } = shared();
  window.carried = (name, base64) => arrived.set(name, base64);
  const name = href.slice(href.lastIndexOf("/") + 1);
  return new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.addEventListener("error", () => reject(new Error(`${name} is missing`)));
    script.addEventListener("load", () => {
      const text = arrived.get(name);
      arrived.delete(name);
      script.remove();
      if (text === undefined) reject(new Error(`${name} carries something else`));
      else resolve(text);
    });
    script.src = href;
    document.head.append(script);
  });
}

/** Whether the visitor has asked to save data. */
export const saving = (): boolean => (navigator as { connection?: { saveData?: boolean } }).connection?.saveData === true;
