// Unpacks models beside the page, so that the page answers to a hand meanwhile. Its text is a part of the viewer
// (see `build.mjs`): a script of its own could not be begun where pages are opened from a disk.

import { MeshoptDecoder } from "meshoptimizer/decoder";
import { model } from "../src/glb";
import { plain, type Asked, type Told } from "../src/handed";

const scope = self as unknown as DedicatedWorkerGlobalScope;

const told = (message: Told, over: Transferable[] = []) => scope.postMessage(message, over);

scope.addEventListener("message", async ({ data }: MessageEvent<Asked>) => {
  try {
    await MeshoptDecoder.ready;
    const made = model(plain(data.file), MeshoptDecoder);
    const numbers = made.parts.flatMap((part) => [part.position, part.normal, part.colour, part.index, part.tangent, part.place]);
    told({ number: data.number, model: made }, numbers.map(({ buffer }) => buffer as ArrayBuffer));
  } catch (error) {
    told({ number: data.number, wrong: String(error) });
  }
});
