// What follows the # of the page's address. Anybody may write it.

/** The fragment in letters; empty where it is no text (a percent sign without its two digits). */
export function fragment(): string {
  try {
    return decodeURIComponent(location.hash.slice(1));
  } catch {
    return "";
  }
}
