/** A code and its arguments become a sentence, by the rules of `matbook.words`. */

import { Trouble } from './trouble';

export type Sentences = Record<string, string>;

/** What this device says by itself, in the language chosen. */
export let spoken: Sentences = {};

export function speakBy(sentences: Sentences): void {
  spoken = sentences;
}

const HOLE = /\{(\w+)(?:\|([^|{}]*)\|([^|{}]*))?\}/g;

/** The sentence of a template: `{name}` is the argument, `{name|one|many}` goes by its number. */
export function filled(code: string, template: string, given: Record<string, string | number>): string {
  return template.replace(HOLE, (_, name: string, one?: string, many?: string) => {
    if (!Object.hasOwn(given, name)) {
      throw new Trouble('not-found', `The sentence “${code}” needs “${name}”, which was not given.`);
    }
    const value = String(given[name]);
    return one === undefined ? value : value === '1' ? one : (many ?? '');
  });
}

/** The sentence for a code in one language; throws where there is none. */
export function say(sentences: Sentences, code: string, given: Record<string, string | number> = {}): string {
  const template = Object.hasOwn(sentences, code) ? sentences[code] : undefined;
  if (template === undefined) throw new Trouble('not-found', `There is no sentence “${code}” here.`);
  return filled(code, template, given);
}
