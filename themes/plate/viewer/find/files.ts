// The files of the index, each a script that calls `found`: a page on a disk can load nothing else.

export type Entry = string | readonly [named: string, said: string];
export type Part = Readonly<Record<string, Entry>>;
export interface Listed {
  readonly href: string;
  readonly title: string;
  readonly line: string;
  readonly teaser: string;
}

declare global {
  interface Window {
    found?: (numbering: string, name: string, content: unknown) => void;
  }
}

/** The index was published anew while this page was open. */
export class Renumbered extends Error {}

export class Files {
  readonly #numbering: string;
  readonly #arrived = new Map<string, unknown>();
  readonly #asked = new Map<string, Promise<unknown>>();
  #other = false;

  constructor(numbering: string) {
    this.#numbering = numbering;
    window.found = (numbering, name, content) => {
      if (numbering === this.#numbering) this.#arrived.set(name, content);
      else this.#other = true;
    };
  }

  ask(name: string): Promise<unknown> {
    const asked = this.#asked.get(name) ?? this.#load(name);
    this.#asked.set(name, asked);
    // A file that did not come may come the next time.
    asked.catch(() => this.#asked.delete(name));
    return asked;
  }

  #load(name: string): Promise<unknown> {
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.addEventListener("error", () => reject(new Error(`${name} is missing`)));
      script.addEventListener("load", () => {
        script.remove();
        if (this.#arrived.has(name)) resolve(this.#arrived.get(name));
        else reject(this.#other ? new Renumbered(name) : new Error(`${name} holds something else`));
      });
      script.src = name;
      document.head.append(script);
    });
  }
}
