/** Keeping what a person writes: on the disk, strictly, before anybody says “kept”. */

import { canonical, type PlainMap } from './canonical';
import { book, ofJob, type Row, rowOf, strictly } from './db';
import { me } from './device';
import { type Entry, readEntry } from './entry';
import { spoken } from './full';
import { newId, random } from './ids';
import { type Fault, faults, kindNamed, placeFaults } from './kinds';
import { alone } from './locks';
import { momentOf } from './moment';
import { announce } from './news';
import { freshPen, type Pen, type Said, write } from './pen';
import { trouble } from './told';
import { Trouble } from './trouble';

export interface Draft {
  /** Of the half-finished form that it was: the same form kept in two tabs is one entry. */
  id?: string;
  job: string;
  shift?: string;
  kind: string;
  body: PlainMap;
  /** When it happened; now, if it isn't said. */
  at?: string;
  place?: PlainMap;
  instrument?: string;
  strikes?: string;
  why?: string;
  saw?: PlainMap;
}

export interface Kept {
  id: string;
  hash: string;
  entry: Entry;
}

/** A body or place that the form doesn't take; names every field that is wrong. */
export class NotAsTheForm extends Trouble {
  constructor(readonly faults: Fault[]) {
    const words = faults.map(({ field, given, allowed }) => `${field} is “${given.slice(0, 60)}”; ${allowed}.`);
    super('refused', words.join(' '));
  }
}

const TRIES = 5;

/** Write an entry onto this device's chain; resolves when it is on the disk. */
export async function keep(draft: Draft): Promise<Kept> {
  const found = [...faults(draft.kind, draft.body), ...placeFaults(draft.place ?? {})];
  if (found.length) throw new NotAsTheForm(found);
  const { device, person } = await spoken(me());
  if (!person) throw trouble('app.keep.nobody');
  const said = saidBy(draft);
  const { entry, fresh } = await spoken(alone('pen', () => append(device, person, said)));
  if (fresh) announce({ job: draft.job, entries: [{ hash: entry.hash, text: entry.text }], toSend: true });
  return { id: entry.data.id, hash: entry.hash, entry };
}

/** Strike an entry and put another in its place; it belongs to the moment and shift of the struck one. */
export async function correct(id: string, draft: Draft & { why: string }): Promise<Kept> {
  const struck = await entryNamed(draft.job, id);
  const { at, shift } = JSON.parse(struck.text) as Said;
  return keep({ at, shift, ...draft, strikes: id } as Draft);
}

/** Strike an entry and put nothing in its place. */
export async function withdraw(job: string, id: string, why: string): Promise<Kept> {
  return correct(id, { job, kind: 'note', body: { text: why }, why });
}

/** Who may be asked whether an entry was theirs: the row of an entry by its id. */
export async function entryNamed(job: string, id: string): Promise<Row> {
  const found = await (await book()).getFromIndex('entries', 'id', [job, id]);
  if (!found) throw trouble('app.keep.no-such-entry', { id });
  return found;
}

function saidBy(draft: Draft): Said {
  const now = new Date();
  const written = momentOf(now);
  const rest = JSON.parse(JSON.stringify(draft)) as Draft; // plain data, whatever the screen holds it in
  return {
    ...rest,
    id: draft.id || newId(now.getTime(), random(10)),
    v: kindNamed(draft.kind).v,
    at: draft.at || written,
    written,
  };
}

/**
 * The hash is made outside the transaction, since the browser makes it in its own time; so the
 * transaction looks again whether the chain still ends where the entry says it does.
 */
async function append(device: string, person: string, given: Said): Promise<{ entry: Entry; fresh: boolean }> {
  let said = given;
  for (let tries = 0; tries < TRIES; tries += 1) {
    const pen = penAt(await lastOf(said.job, device), device, person);
    const entry = await write(pen, said);
    const kept = await strictly(['entries'], async (tx) => {
      const entries = tx.objectStore('entries');
      const before = await entries.index('id').get([said.job, said.id]);
      if (before) return before;
      const end = await entries.index('device').openCursor(ofJob(said.job, device), 'prev');
      if ((end?.value.hash ?? '') !== pen.prev) return false;
      await entries.add(rowOf(entry));
      return true;
    });
    if (kept === true) return { entry, fresh: true };
    if (kept && same(kept, said)) return { entry: await readEntry(kept.text, kept.hash), fresh: false };
    if (kept) said = { ...said, id: newId(Date.now(), random(10)) };
  }
  throw trouble('app.keep.too-busy');
}

/** Whether an entry says what is to be written: the form was kept in another tab, unchanged. */
function same(row: Row, said: Said): boolean {
  const there = JSON.parse(row.text) as Said;
  const what = ({ kind, body, place = {}, strikes = '' }: Said) => canonical({ kind, body, place, strikes });
  return what(there) === what(said);
}

async function lastOf(job: string, device: string): Promise<Row | undefined> {
  const index = (await book()).transaction('entries').store.index('device');
  return (await index.openCursor(ofJob(job, device), 'prev'))?.value;
}

function penAt(last: Row | undefined, device: string, by: string): Pen {
  return last ? { device, by, seq: last.seq, prev: last.hash } : freshPen(device, by);
}
