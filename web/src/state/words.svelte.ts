/** Sentences on the screen, in the language chosen; English where a language lacks one. */

import { filled, type Sentences } from '../book';
import english from '../generated/words-en.json';

const LOADERS: Record<string, () => Promise<{ default: Sentences }>> = {
  es: () => import('../generated/words-es.json'),
  fr: () => import('../generated/words-fr.json'),
};

const chosen = $state<{ language: string; sentences: Sentences }>({
  language: 'en',
  sentences: english as Sentences,
});

export const LANGUAGES = { en: 'English', es: 'Español', fr: 'Français' } as const;

export function language(): string {
  return chosen.language;
}

/** The language chosen before on this device, else the browser's own, where there is one. */
export function usualLanguage(): string {
  return localStorage.getItem('language') ?? navigator.language.slice(0, 2);
}

export async function speak(name: string): Promise<void> {
  const load = LOADERS[name];
  chosen.sentences = load ? (await load()).default : (english as Sentences);
  chosen.language = load ? name : 'en';
  document.documentElement.lang = chosen.language;
  localStorage.setItem('language', chosen.language);
}

export function words(code: string, given: Record<string, string | number> = {}): string {
  const template = chosen.sentences[code] ?? (english as Sentences)[code];
  if (template === undefined) return code.split('.').pop() ?? code;
  return filled(code, template, given);
}

export function has(code: string): boolean {
  return code in chosen.sentences || code in (english as Sentences);
}
