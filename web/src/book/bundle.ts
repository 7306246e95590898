/**
 * A shift, or a job, as a file: a line of JSON for each entry with its hash and its text, as the
 * command line exports and imports them. Taking one back loses nothing and doubles nothing.
 */

import { book, ofJob } from './db';
import { me } from './device';
import { type Entry, type Pair, readEntry } from './entry';
import { spoken } from './full';
import { takePairs } from './holdings';
import { announce } from './news';
import { trouble } from './told';
import { EntryRefused } from './trouble';

export interface TakenBack {
  taken: number;
  had: number;
  /** Lines that hold no intact entry, each with its number and what is wrong. */
  refused: { line: number; why: string }[];
}

/** The entries of a shift, and what concerns the whole job, as a file; of all shifts without one. */
export async function bundle(job: string, shift = ''): Promise<Blob> {
  const rows = await (await book()).getAllFromIndex('entries', 'order', ofJob(job));
  const lines = rows
    .filter((row) => !shift || row.shift === shift || row.shift === '')
    .map(({ hash, text }) => `${JSON.stringify({ hash, text })}\n`);
  return new Blob(lines, { type: 'application/jsonl' });
}

/** What the file of a shift is called: harrow_2026-05-12_a_day.jsonl */
export function bundleName(job: string, shift = ''): string {
  return `${(shift || job).replaceAll('/', '_')}.jsonl`;
}

/** Take the entries of a file into the book of a job; they will be sent to the server too. */
export async function takeBack(job: string, file: Blob): Promise<TakenBack> {
  const lines = (await file.text()).split('\n');
  const entries: Entry[] = [];
  const refused: TakenBack['refused'] = [];
  for (const [at, line] of lines.entries()) {
    if (!line.trim()) continue;
    const found = await entryOf(job, line);
    if (typeof found === 'string') refused.push({ line: at + 1, why: found });
    else entries.push(found);
  }
  if (!entries.length) throw trouble('app.file.no-entries');
  const fresh = await spoken(takePairs(await me(), entries));
  announce({ job, entries: fresh, toSend: true, told: true });
  return { taken: fresh.length, had: entries.length - fresh.length, refused };
}

async function entryOf(job: string, line: string): Promise<Entry | string> {
  try {
    const { hash, text } = JSON.parse(line) as Partial<Pair>;
    if (typeof hash !== 'string' || typeof text !== 'string') return trouble('app.file.no-entry').sentence;
    const entry = await readEntry(text, hash);
    return entry.data.job === job ? entry : trouble('app.file.other-job', { job: entry.data.job }).sentence;
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof TypeError) return trouble('app.file.not-json').sentence;
    if (error instanceof EntryRefused) return error.sentence;
    throw error;
  }
}
