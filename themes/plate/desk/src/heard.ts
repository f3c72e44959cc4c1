// What is said to everybody, also to those who look elsewhere.

export function announce(text: string): void {
  const line = document.querySelector("[data-heard]");
  if (line) line.textContent = text;
}
