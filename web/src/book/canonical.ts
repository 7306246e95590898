/**
 * The one text of a value, as `matbook.book.entry` writes it: sorted ASCII keys, no spaces, strings
 * and whole numbers below 2^53, never a fraction, so that every language writes it alike.
 */

import { EntryRefused } from './trouble';

export type Plain = string | number | Plain[] | { [name: string]: Plain };
export type PlainMap = { [name: string]: Plain };

export const DEEPEST = 8;

const HALF_A_CHARACTER = /\p{Surrogate}/u;
const ASCII = /^[\x00-\x7f]*$/;

/** The one text of a value; throws EntryRefused for what plain serialisers write differently. */
export function canonical(value: PlainMap): string {
  return written(value, 0);
}

function written(value: unknown, depth: number): string {
  if (depth > DEEPEST) throw new EntryRefused(`The entry is nested more than ${DEEPEST} deep.`);
  if (typeof value === 'string') return text(value);
  if (typeof value === 'number') return whole(value);
  if (Array.isArray(value)) return `[${value.map((item) => written(item, depth + 1)).join(',')}]`;
  if (isMap(value)) {
    const names = Object.keys(value).sort();
    return `{${names.map((name) => `${key(name)}:${member(value[name], depth)}`).join(',')}}`;
  }
  throw new EntryRefused(
    `The entry holds ${String(value)}; only text, whole numbers, lists and objects are allowed ` +
      '(a measured value is decimal text with its unit).',
  );
}

/** Text may stand one step deeper than what holds something. */
function member(value: unknown, depth: number): string {
  return typeof value === 'string' ? text(value) : written(value, depth + 1);
}

function text(value: string): string {
  if (HALF_A_CHARACTER.test(value)) {
    throw new EntryRefused('The entry holds half a character (a lone surrogate).');
  }
  return JSON.stringify(value);
}

function key(name: string): string {
  if (!ASCII.test(name)) throw new EntryRefused(`The entry has a key “${name}”; keys must be ASCII.`);
  return JSON.stringify(name);
}

function whole(value: number): string {
  if (Number.isSafeInteger(value)) return String(value + 0); // -0 is 0
  if (Number.isInteger(value)) {
    throw new EntryRefused(`The entry holds ${value}; whole numbers must be below 2^53.`);
  }
  throw new EntryRefused(`The entry holds ${value}, a fraction; measured values are text with their unit.`);
}

/** A plain object, as JSON gives it. */
export function isMap(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
