// Models are unpacked by a worker. It is begun with the viewer, so that its decoder is ready when the first model is.

import source from "unpack:text";
import type { Model } from "./glb";
import type { Asked, Carried, Told } from "./handed";

interface Waiting {
  done(model: Model): void;
  failed(error: Error): void;
}

const waiting = new Map<number, Waiting>();
let asked = 0;
let worker: Worker | null = begin();

/** `null` when the device gives no worker now; it is then asked for again with the next file. */
function begin(): Worker | null {
  const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  let made;
  try {
    made = new Worker(address);
  } catch {
    URL.revokeObjectURL(address);
    return null;
  }
  made.addEventListener("message", ({ data }: MessageEvent<Told>) => {
    const one = waiting.get(data.number);
    waiting.delete(data.number);
    if ("model" in data) one?.done(data.model);
    else one?.failed(new Error(data.wrong));
  });
  // It could not begin, or was ended: nobody is left waiting, and the next file has a new one.
  made.addEventListener("error", () => {
    made.terminate();
    worker = null;
    for (const one of waiting.values()) one.failed(new Error("the worker ended"));
    waiting.clear();
  });
  return made;
}

/** Takes the file over: its bytes are no longer the page's. */
export function unpack(file: Carried): Promise<Model> {
  return new Promise((done, failed) => {
    worker ??= begin();
    if (!worker) return failed(new Error("no worker can be had"));
    const number = asked++;
    waiting.set(number, { done, failed });
    worker.postMessage({ number, file } satisfies Asked, typeof file === "string" ? [] : [file]);
  });
}
