// The desk's own words.

import { get } from "./api";

const LANGUAGES = ["en", "cy"];
let texts: Readonly<Record<string, string>> = {};
export let spoken = "en";

export const names: Readonly<Record<string, string>> = { en: "English", cy: "Cymraeg" };

/** The language chosen here before, or the first of the browser's that the desk speaks. */
export async function begin(): Promise<void> {
  const wanted = [localStorage.getItem("language") ?? "", ...navigator.languages.map((tag) => tag.split("-")[0]!)];
  await speak(wanted.find((tag) => LANGUAGES.includes(tag)) ?? "en");
}

export async function speak(lang: string): Promise<void> {
  texts = await get("words", { lang });
  spoken = lang;
  localStorage.setItem("language", lang);
  document.documentElement.lang = lang;
}

export const t = (key: string, blanks: Readonly<Record<string, string | number>> = {}): string =>
  (texts[key] ?? key).replace(/\{(\w+)\}/g, (whole, name: string) => String(blanks[name] ?? whole));

export const has = (key: string): boolean => key in texts;

/** The word for one or for many. */
export const count = (key: string, n: number): string => t(n === 1 ? `${key}_one` : key, { n });

/** The name of a language, in the language of the desk. */
export function language(tag: string): string {
  return new Intl.DisplayNames([spoken], { type: "language" }).of(tag) ?? tag;
}

/** The house writes British English. */
const place = (): string => (spoken === "en" ? "en-GB" : spoken);

export const moment = (text: string): string => new Intl.DateTimeFormat(place(), { dateStyle: "medium", timeStyle: "short" }).format(new Date(text));

export const figure = (value: number, digits = 1): string => new Intl.NumberFormat(spoken, { maximumFractionDigits: digits, minimumFractionDigits: digits }).format(value);

/** A title in the language of the desk, or any. */
export const title = (titles: Readonly<Record<string, string>>, otherwise: string): string => titles[spoken] ?? Object.values(titles)[0] ?? otherwise;
