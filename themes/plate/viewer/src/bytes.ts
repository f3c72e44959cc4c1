// A file's bytes: fetched, or where a page may fetch nothing (a copy opened from a disk), brought by a
// classic script that carries them.

/** Files that have arrived, by the name of the script that brought them. */
const arrived = new Map<string, string>();

declare global {
  interface Window {
    carried?: (name: string, base64: string) => void;
  }
}

export async function bytes(href: string): Promise<ArrayBuffer> {
  if (href.endsWith(".js")) return carried(href);
  const response = await fetch(href);
  if (!response.ok) throw new Error(`${response.status}`);
  return response.arrayBuffer();
}

function carried(href: string): Promise<ArrayBuffer> {
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
      else resolve(Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer);
    });
    script.src = href;
    document.head.append(script);
  });
}
