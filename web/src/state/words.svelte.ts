/** Sentences on the screen, in the language chosen; the words of one language are here at a time. */

import { filled, type Sentences, speakBy } from '../book/words';

export const LANGUAGES = { en: 'English', es: 'Español', fr: 'Français' } as const;

type Language = keyof typeof LANGUAGES;

const LOADERS: Record<Language, () => Promise<{ default: Sentences }>> = {
  en: () => import('../generated/words-en.json'),
  es: () => import('../generated/words-es.json'),
  fr: () => import('../generated/words-fr.json'),
};

let chosen: { language: Language; sentences: Sentences } = $state.raw({ language: 'en', sentences: {} });

export function language(): string {
  return chosen.language;
}

/** The language chosen before on this device, else the browser's own, where there is one. */
export function usualLanguage(): string {
  return localStorage.getItem('language') ?? navigator.language.slice(0, 2);
}

export async function speak(name: string): Promise<void> {
  const language = Object.hasOwn(LANGUAGES, name) ? (name as Language) : 'en';
  const { default: sentences } = await LOADERS[language]();
  chosen = { language, sentences };
  speakBy(sentences);
  document.documentElement.lang = language;
  localStorage.setItem('language', language);
}

export function words(code: string, given: Record<string, string | number> = {}): string {
  const template = chosen.sentences[code];
  if (template === undefined) return code.split('.').pop() ?? code;
  return filled(code, template, given);
}

export function has(code: string): boolean {
  return code in chosen.sentences;
}
