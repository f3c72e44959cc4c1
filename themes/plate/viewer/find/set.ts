// Sets of document numbers, as src/find/set.rs writes them: runs in base 36, or bits in base64.

/** One byte a document: 1 for those in the set. */
export function decode(text: string, documents: number): Uint8Array {
  const set = new Uint8Array(documents);
  if (text.startsWith("!")) {
    const bits = atob(text.slice(1));
    for (let i = 0; i < documents; i++) set[i] = (bits.charCodeAt(i >> 3) >> (i & 7)) & 1;
    return set;
  }
  let at = 0;
  for (const run of text.split(" ")) {
    if (!run) continue;
    const [gap = "0", more = "0"] = run.split("+");
    const first = at + parseInt(gap, 36);
    at = first + parseInt(more, 36) + 1;
    set.fill(1, first, at);
  }
  return set;
}
