/** One entry: its text, its hash, and the envelope that every entry shares; as `matbook.book.entry`. */

import { canonical, isMap, type PlainMap } from './canonical';
import { instant, MOMENT_ALLOWED } from './moment';
import { sha256Hex } from './sha256';
import { EntryRefused } from './trouble';

/** Bytes of UTF-8 that one entry may have; photos and scans are attachments, not text. */
export const LARGEST_TEXT = 256 * 1024;

/** `prev` of the first entry a device ever wrote. */
export const FIRST = '';

export interface Envelope {
  id: string;
  job: string;
  shift?: string;
  kind: string;
  v: number;
  at: string;
  written: string;
  by: string;
  device: string;
  seq: number;
  prev: string;
  body: PlainMap;
  place?: PlainMap;
  saw?: PlainMap;
  instrument?: string;
  strikes?: string;
  why?: string;
}

/** An entry as it travels and is stored. */
export interface Pair {
  hash: string;
  text: string;
}

export interface Entry extends Pair {
  data: Envelope;
}

const NEED = ['at', 'by', 'device', 'id', 'job', 'kind', 'prev', 'written'];
const TEXTS = ['instrument', 'shift', 'strikes', 'why'];
const MAPS = ['body', 'place', 'saw'];
const NAME = /^[a-z0-9][a-z0-9-]{0,63}$/;
const HASH = /^[0-9a-f]{64}$/;
const ID = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
const SHIFT = /^[a-z0-9][a-z0-9-]{0,63}\/\d{4}-\d\d-\d\d\/[a-z0-9-]{1,20}\/(day|night)$/;
const SHOWN = 80;

/** Open an entry's text, checking everything an intact envelope needs; throws EntryRefused. */
export async function readEntry(text: string, expected?: string): Promise<Entry> {
  checkLength(text);
  const hash = await sha256Hex(text);
  if (expected !== undefined && hash !== expected) {
    throw new EntryRefused(
      `The entry's text has hash ${hash.slice(0, 12)}… but came as ${expected.slice(0, 12)}…: ` +
        'it was changed after it was written.',
    );
  }
  return { hash, text, data: envelope(text) };
}

/** The entry of a new envelope, written for the first time; throws EntryRefused. */
export async function writtenEntry(data: Envelope): Promise<Entry> {
  const text = canonical(data as unknown as PlainMap);
  checkLength(text);
  checkFields(data as unknown as Record<string, unknown>);
  return { hash: await sha256Hex(text), text, data };
}

/** The opened text of an entry; throws EntryRefused unless the envelope is intact. */
export function envelope(text: string): Envelope {
  const data = parsed(text);
  if (!isMap(data)) throw new EntryRefused('The entry is not a JSON object.');
  if (canonical(data as PlainMap) !== text) {
    throw new EntryRefused(
      "The entry's text isn't in its one form (sorted keys, no spaces, no repeated keys).",
    );
  }
  checkFields(data);
  return { body: {}, ...data } as unknown as Envelope;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    const why = error instanceof SyntaxError ? error.message.slice(0, 120) : '';
    throw new EntryRefused(`The entry is not the JSON it should be: ${why}.`);
  }
}

function checkLength(text: string): void {
  const bytes = new TextEncoder().encode(text).length;
  if (bytes <= LARGEST_TEXT) return;
  throw new EntryRefused(
    `The entry has ${bytes} bytes; at most ${LARGEST_TEXT} are allowed. ` +
      'Photos and scans go in as attachments.',
  );
}

function checkFields(data: Record<string, unknown>): void {
  for (const name of NEED) {
    must(typeof data[name] === 'string', `The entry's “${name}” is missing or isn't text.`);
  }
  for (const name of ['seq', 'v']) {
    const value = data[name];
    must(
      Number.isSafeInteger(value) && (value as number) >= 1,
      `The entry's “${name}” must be a whole number from 1.`,
    );
  }
  for (const name of TEXTS) must(typeof (data[name] ?? '') === 'string', `The entry's “${name}” isn't text.`);
  for (const name of MAPS) must(isMap(data[name] ?? {}), `The entry's “${name}” isn't an object.`);
  checkWords(data as Record<string, string>);
  must(
    (data.seq === 1) === (data.prev === FIRST),
    "Only a device's first entry (seq 1) has no entry before it.",
  );
}

function checkWords(data: Record<string, string>): void {
  const { shift = '', id = '', prev = '', job = '' } = data;
  for (const name of ['job', 'kind', 'device']) {
    must(
      NAME.test(data[name] ?? ''),
      `The entry's “${name}” is “${shown(data[name])}”; it must be lower-case letters, digits and hyphens, at most 64.`,
    );
  }
  must(
    shift === '' || (SHIFT.test(shift) && shift.startsWith(`${job}/`)),
    `The entry's “shift” is “${shown(shift)}”; it must be its job, the working date, ` +
      'the crew, and day or night, such as harrow/2026-05-12/a/day.',
  );
  must(ID.test(id), `The entry's “id” is “${shown(id)}”; it must be a UUID, version 7.`);
  must(prev === FIRST || HASH.test(prev), "The entry's “prev” must be the hash of the entry before, or empty.");
  for (const name of ['at', 'written']) {
    const value = data[name] ?? '';
    must(!Number.isNaN(instant(value)), `A time is “${shown(value)}”; ${MOMENT_ALLOWED}.`);
  }
}

function must(holds: boolean, sentence: string): void {
  if (!holds) throw new EntryRefused(sentence);
}

function shown(text = ''): string {
  return text.slice(0, SHOWN);
}
