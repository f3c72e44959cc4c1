// A note as its title and its words; what stands around them is kept as it is.

export interface Note {
  readonly title: string;
  readonly words: string;
}

/** The first heading, and all after it; a note that begins otherwise is all words. */
export function split(text: string): Note {
  const found = /^\s*# ([^\n]*)\n?\n?/.exec(text);
  return found ? { title: found[1]!.trim(), words: text.slice(found[0].length) } : { title: "", words: text };
}

/** The text with another title or other words, changed no further than that. */
export function joined(before: string, note: Note): string {
  const found = /^(\s*# )([^\n]*)(\n?\n?)/.exec(before);
  if (!found) {
    if (!note.title) return note.words;
    return `# ${note.title}\n\n${ended(note.words)}`;
  }
  const old = split(before);
  const heading = note.title === old.title ? found[2]! : note.title;
  const gap = found[3] === "\n\n" || note.words === "" ? found[3]! : "\n\n";
  return `${found[1]}${heading}${gap}${note.words === old.words ? note.words : ended(note.words)}`;
}

const ended = (words: string): string => (words === "" || words.endsWith("\n") ? words : `${words}\n`);
