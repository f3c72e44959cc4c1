// What the page hands to the worker that unpacks models, and what it is handed back.

import type { Model } from "./glb";

/** A file's bytes, or the text in which a script carried them, base64. */
export type Carried = ArrayBuffer | string;

export const plain = (file: Carried): ArrayBuffer => (typeof file === "string" ? Uint8Array.from(atob(file), (c) => c.charCodeAt(0)).buffer : file);

export interface Asked {
  readonly number: number;
  readonly file: Carried;
}

export type Told = { readonly number: number; readonly model: Model } | { readonly number: number; readonly wrong: string };
