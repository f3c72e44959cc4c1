// Words as they are looked up: by the same rules as the index was made (src/find/fold.rs), which
// tests/find/folded.json holds both to.

const LETTERS: Readonly<Record<string, string>> = { æ: "ae", œ: "oe", ø: "o", ß: "ss", ð: "d", đ: "d", þ: "th", ł: "l", ı: "i", ς: "σ" };

/** A text in small letters without marks. */
export const fold = (text: string): string =>
  text
    .toLowerCase()
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .replace(/[æœøßðđþłıς]/gu, (c) => LETTERS[c] ?? c);

/** Scripts that write no spaces between words: there each sign is a word. */
const ALONE = /[\u3040-\u30FF\u3400-\u4DBF\u4E00-\u9FFF]/gu;

/** The folded words of a text; a letter alone is none. */
export function words(text: string): string[] {
  const folded = fold(text);
  const runs = folded.replace(ALONE, " ").match(/[\p{Alphabetic}\p{N}]+/gu) ?? [];
  return [...runs.filter((run) => /^(?:\p{N}|..)/su.test(run)), ...(folded.match(ALONE) ?? [])];
}
