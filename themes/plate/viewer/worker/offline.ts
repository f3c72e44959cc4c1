// Keeps pages for use without a network: what is around all objects at once, an object when its page
// asks for it. Every file is listed with its digest when the site is published. An edition is kept whole
// or not at all, and the one that is kept stays until the next is complete.

type Listed = readonly [path: string, digest: string, bytes: number];

interface Edition {
  /** Of the list of its files: another when any of them is. */
  readonly digest: string;
  readonly files: readonly Listed[];
}

/** An object, whose files are listed in a file of their own: a visitor keeps a few of many. */
interface Own {
  readonly digest: string;
  readonly bytes: number;
  readonly list: string;
  readonly integrity: string;
}

/** Stands before this script in the published file. */
declare const LIST: { readonly around: Edition; readonly objects: Readonly<Record<string, Own>>; readonly absent: Readonly<Record<string, string>> };

const scope = self as unknown as ServiceWorkerGlobalScope;
const ROOT = scope.registration.scope;
const MARK = `${ROOT}.kept`;
/** Files that are fetched side by side. */
const ABREAST = 6;

const store = (name: string, digest: string): string => `counterpart ${name} ${digest}`;
const AROUND = store("", LIST.around.digest);
const around = new Set(LIST.around.files.map(([path]) => path));
const stores = new Map(Object.entries(LIST.objects).map(([id, set]) => [id, store(id, set.digest)]));

/** The object of whose pages a file is: below the object's folder, or that within a language's. */
function owner(file: string): string | undefined {
  return file.split("/", 2).find((step) => stores.has(step));
}

/** A page is asked for by its folder: some servers send whoever names its file elsewhere. */
const address = (path: string): string => ROOT + path.replace(/(^|\/)index\.html$/, "$1");

async function whole(name: string): Promise<boolean> {
  return (await caches.has(name)) && (await (await caches.open(name)).match(MARK)) !== undefined;
}

/** The files of an object. */
async function listed(set: Own): Promise<readonly Listed[]> {
  const response = await fetch(address(set.list), { integrity: set.integrity, credentials: "same-origin" });
  if (!response.ok) throw new Error(`${response.status}: ${set.list}`);
  return (await response.json()) as Listed[];
}

/** Fills a store, from earlier ones where a file's name says that it is the same. */
async function fill(name: string, files: () => Promise<readonly Listed[]>, told: (done: number, all: number) => void = () => {}): Promise<void> {
  if (await whole(name)) return;
  const left = [...(await files())];
  const all = left.length;
  const cache = await caches.open(name);
  let done = 0;
  const work = async (): Promise<void> => {
    for (let file = left.shift(); file; file = left.shift()) {
      const [path, digest] = file;
      const url = address(path);
      // What lies in this folder has its digest in its name.
      const known = path.startsWith("assets/") ? await caches.match(url) : undefined;
      const response = known ?? (await fetch(url, { integrity: digest, cache: "no-cache", credentials: "same-origin" }));
      if (!response.ok) throw new Error(`${response.status}: ${url}`);
      await cache.put(url, response);
      told(++done, all);
    }
  };
  try {
    await Promise.all(Array.from({ length: ABREAST }, work));
    await cache.put(MARK, new Response());
  } catch (reason) {
    left.length = 0;
    await caches.delete(name);
    throw reason;
  }
}

/** Objects that any edition keeps. */
async function kept(): Promise<string[]> {
  const found: string[] = [];
  for (const name of await caches.keys()) {
    const [own, id] = name.split(" ");
    if (own === "counterpart" && id && stores.has(id) && (await whole(name))) found.push(id);
  }
  return found;
}

scope.addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      await fill(AROUND, async () => LIST.around.files);
      for (const id of await kept()) {
        const set = LIST.objects[id];
        if (set) await fill(store(id, set.digest), () => listed(set));
      }
    })(),
  );
});

scope.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      const current = new Set([AROUND, ...stores.values()]);
      for (const name of await caches.keys()) {
        if (name.startsWith("counterpart ") && !current.has(name)) await caches.delete(name);
      }
      await scope.clients.claim();
    })(),
  );
});

scope.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !url.href.startsWith(ROOT)) return;
  event.respondWith(answer(event.request, url));
});

/** A file that is kept, of the edition that this worker is of. */
async function keptOf(file: string): Promise<Response | undefined> {
  const name = around.has(file) ? AROUND : stores.get(owner(file) ?? "");
  if (name && (await caches.has(name))) return (await caches.open(name)).match(address(file));
  // What lies in this folder has its digest in its name: of whatever edition, it is the same.
  return file.startsWith("assets/") ? caches.match(address(file)) : undefined;
}

/** A path in letters; as it is where it is no text, which no file of the site is called. */
function named(path: string): string {
  try {
    return decodeURI(path);
  } catch {
    return path;
  }
}

async function answer(request: Request, url: URL): Promise<Response> {
  const path = url.origin + url.pathname;
  const file = named(path.slice(ROOT.length)).replace(/(^|\/)$/, "$1index.html");
  const found = await keptOf(file);
  if (found) return part(found, request.headers.get("range"));
  try {
    return await fetch(request);
  } catch (reason) {
    if (request.mode !== "navigate") throw reason;
    // A page of its own says so: what it points at is found from its own address only.
    const language = Object.keys(LIST.absent).find((start) => start && file.startsWith(start)) ?? "";
    return Response.redirect(address(LIST.absent[language] ?? ""));
  }
}

/** Players ask for a file in parts, and some play nothing that comes whole (RFC 9110, section 14). */
async function part(whole: Response, range: string | null): Promise<Response> {
  const [, from, to] = /^bytes=(\d+)-(\d*)$/.exec(range ?? "") ?? [];
  if (from === undefined) return whole;
  const body = await whole.blob();
  const start = Number(from);
  const end = Math.min(to ? Number(to) : Infinity, body.size - 1);
  const headers = { "content-type": whole.headers.get("content-type") ?? "", "accept-ranges": "bytes" };
  if (start > end) return new Response(null, { status: 416, headers: { ...headers, "content-range": `bytes */${body.size}` } });
  return new Response(body.slice(start, end + 1), { status: 206, headers: { ...headers, "content-range": `bytes ${start}-${end}/${body.size}` } });
}

scope.addEventListener("message", (event) => {
  const said = event.data as { readonly ask?: string; readonly keep?: string; readonly forget?: string; readonly show?: true };
  const tell = (message: unknown): void => event.source?.postMessage(message);
  const id = said.ask ?? said.keep ?? said.forget ?? "";
  const [set, name] = [LIST.objects[id], stores.get(id)];
  if (said.show) void scope.skipWaiting();
  if (!set || !name) return;
  const bytes = LIST.around.files.reduce((sum, [, , own]) => sum + own, set.bytes);
  const state = async (): Promise<void> => tell({ id, bytes, kept: await whole(name) });
  event.waitUntil(
    (async () => {
      try {
        if (said.forget !== undefined) await caches.delete(name);
        if (said.keep !== undefined) await fill(name, () => listed(set), (done, all) => tell({ id, done, all }));
        await state();
      } catch {
        tell({ id, bytes, kept: false, failed: true });
      }
    })(),
  );
});

export {};
