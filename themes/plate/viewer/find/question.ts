// From what is typed and chosen to the documents that answer it, the best first.

import type { Entry, Files, Part } from "./files";
import { words } from "./fold";
import { decode } from "./set";

/** What a word weighs in a title or a name, elsewhere, and when only its beginning was typed. */
const NAMED = 8;
const SAID = 2;
const BEGUN = 0.5;
/** Fewest letters that stand for words beginning with them, and most words that they may stand for. */
const LETTERS = 3;
const MOST = 40;
/** Files that may be asked for the beginnings of one word. */
const PARTS = 3;
/** Letters that may be cut from the end of a word that is in no text, and how many must be left. */
const CUT = 3;
const LEFT = 4;

export interface Answer {
  /** Numbers of documents. */
  readonly documents: readonly number[];
  /** A word that is nowhere. */
  readonly nowhere: string | null;
}

export class Asker {
  constructor(
    readonly files: Files,
    readonly beginnings: readonly string[],
    readonly documents: number,
  ) {}

  /** `sets`: names of files whose documents alone are wanted. */
  async answer(typed: string, sets: readonly string[]): Promise<Answer> {
    const asked = [...new Set(words(typed))];
    const score = new Float64Array(this.documents);
    const within = new Uint8Array(this.documents).fill(1);
    const narrow = (set: ArrayLike<number>): void => {
      for (let i = 0; i < this.documents; i++) if (!set[i]) within[i] = 0;
    };
    for (const set of sets) narrow(decode((await this.files.ask(set)) as string, this.documents));
    for (const word of asked) {
      const weights = await this.#weights(word, word === asked.at(-1));
      const count = weights.reduce((n, w) => n + (w > 0 ? 1 : 0), 0);
      if (count === 0) return { documents: [], nowhere: word };
      narrow(weights);
      // A rare word tells more than one that is everywhere.
      const rarity = Math.log(1 + this.documents / count);
      for (let i = 0; i < this.documents; i++) score[i] = (score[i] ?? 0) + (weights[i] ?? 0) * rarity;
    }
    const documents = [...within.keys()].filter((i) => within[i] === 1);
    documents.sort((a, b) => (score[b] ?? 0) - (score[a] ?? 0) || a - b);
    return { documents, nowhere: null };
  }

  /** What a word weighs in each document. `last`: it may not be typed to its end. */
  async #weights(word: string, last: boolean): Promise<Float64Array> {
    const weights = new Float64Array(this.documents);
    const add = ([named, said]: readonly [string, string], times: number): void => {
      const [inNames, inWords] = [decode(named, this.documents), decode(said, this.documents)];
      for (let i = 0; i < this.documents; i++) {
        const weight = times * (NAMED * (inNames[i] ?? 0) + SAID * (inWords[i] ?? 0));
        weights[i] = Math.max(weights[i] ?? 0, weight);
      }
    };
    const exact = await this.#family(word);
    if (exact) add(exact, 1);
    if ((last || !exact) && word.length >= LETTERS) {
      for (const places of await this.#beginning(word, Infinity)) add(places, BEGUN);
    }
    for (let cut = 1; cut <= CUT && word.length - cut >= LEFT && !weights.some((w) => w > 0); cut++) {
      const stem = word.slice(0, -cut);
      for (const places of await this.#beginning(stem, word.length + CUT)) add(places, BEGUN);
    }
    return weights;
  }

  async #part(word: string): Promise<Part> {
    let best = -1;
    for (const [i, own] of this.beginnings.entries()) {
      if (word.startsWith(own) && (best < 0 || own.length > (this.beginnings[best] ?? "").length)) best = i;
    }
    return best < 0 ? {} : ((await this.files.ask(`w/${best}.js`)) as Part);
  }

  async #family(word: string): Promise<readonly [string, string] | null> {
    const part = await this.#part(word);
    const entry: Entry | undefined = Object.hasOwn(part, word) ? part[word] : undefined;
    if (typeof entry === "string") return this.#family(entry);
    return entry ?? null;
  }

  /** Families of words that begin so and are no longer than that. */
  async #beginning(letters: string, longest: number): Promise<(readonly [string, string])[]> {
    const below = this.beginnings.flatMap((own, i) => (own.startsWith(letters) ? [`w/${i}.js`] : []));
    const parts = (await Promise.all(below.slice(0, PARTS).map((name) => this.files.ask(name)))) as Part[];
    parts.push(await this.#part(letters));
    const names = new Set<string>();
    for (const part of parts) {
      for (const [word, entry] of Object.entries(part)) {
        if (word.startsWith(letters) && word.length <= longest && names.size < MOST) names.add(typeof entry === "string" ? entry : word);
      }
    }
    const found = await Promise.all([...names].map((name) => this.#family(name)));
    return found.filter((places) => places !== null);
  }
}
