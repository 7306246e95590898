/** The book's side of syncing: what isn't on the server, taking in what is, marking receipts. */

import type { Pulled, Receipt, Sent } from './api';
import { forksOf, type Link } from './chains';
import { book, meta, ofJob, type Pull, type Row, rowOf, type Standing, strictly, type Writing } from './db';
import { takeNewName, type Me } from './device';
import { type Entry, type Pair, readEntry } from './entry';
import { tell } from './told';
import { EntryRefused } from './trouble';

/** Entries in one batch, and characters of their text. */
const BATCH = 500;
const BATCH_TEXT = 700_000;

const START: Pull = { epoch: '', after: 0, behind: '', received: '' };

export interface Counts {
  entries: number;
  unsent: number;
  refused: number;
  unsentFiles: number;
}

/** Counted from the book each time, never kept: so it can't be out of date. */
export async function counts(job: string): Promise<Counts> {
  const tx = (await book()).transaction(['entries', 'photos']);
  const entries = tx.objectStore('entries');
  const standing = (what: Standing) => entries.index('standing').count([job, what]);
  const [all, unsent, refused, unsentFiles] = await Promise.all([
    entries.index('order').count(ofJob(job)),
    standing('unsent'),
    standing('refused'),
    tx.objectStore('photos').index('unsent').count([job, 1]),
  ]);
  return { entries: all, unsent, refused, unsentFiles };
}

/** The next entries to send: in the order of their chains, no more than a batch holds. */
export async function nextBatch(job: string): Promise<Row[]> {
  const rows = await (await book()).getAllFromIndex('entries', 'standing', [job, 'unsent']);
  rows.sort((a, b) => (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq));
  let end = 0;
  for (let length = 0; end < Math.min(rows.length, BATCH); end += 1) {
    length += rows[end]?.text.length ?? 0;
    if (end > 0 && length > BATCH_TEXT) break;
  }
  return rows.slice(0, end);
}

/**
 * Write down what the server said of each entry. A receipt counts until the next pull that reaches
 * the end: by then the entry must have been met there. What was refused stays here, with the reason.
 */
export async function receive(receipts: Receipt[]): Promise<void> {
  await strictly(['entries'], async (tx) => {
    const store = tx.objectStore('entries');
    for (const { hash, state, reason = '', flag } of receipts) {
      const row = await store.get(hash);
      if (row?.standing !== 'unsent') continue;
      const refused = state === 'refused';
      await store.put({
        ...row,
        standing: refused ? 'refused' : 'acknowledged',
        ...(refused ? { reason } : {}),
        ...(flag ? { flag } : {}),
      });
    }
  });
}

/** Entries that were read and those that couldn't be. */
interface Checked {
  read: [Entry, Sent][];
  spoilt: string[];
}

/** Read what the server sent: what isn't what it says is left out, and told. */
async function checked(job: string, sent: Sent[]): Promise<Checked> {
  const found: Checked = { read: [], spoilt: [] };
  for (const one of sent) {
    if (one.text === undefined) continue;
    try {
      const entry = await readEntry(one.text, one.hash);
      if (entry.data.job !== job) throw new EntryRefused(`It is of the job “${entry.data.job}”.`);
      found.read.push([entry, one]);
    } catch (error) {
      if (!(error instanceof EntryRefused)) throw error;
      found.spoilt.push(one.hash);
    }
  }
  return found;
}

/**
 * Take in one page: its entries and how far the server has been read, in one transaction.
 * Returns the entries that are new here.
 */
export async function takePage(job: string, who: Me, page: Pulled, pull: Pull): Promise<Pair[]> {
  const { read, spoilt } = await checked(job, page.entries);
  const last = page.entries.at(-1);
  const end = last ? { behind: last.hash, received: last.received ?? '' } : {};
  const next: Pull = { ...pull, ...end, epoch: page.epoch, after: page.cursor };
  return strictly(['entries', 'withheld', 'meta', 'told'], async (tx) => {
    const fresh: Pair[] = [];
    for (const [entry, sent] of read) {
      if (await takeIn(tx, entry, sent)) fresh.push(await noticed(tx, who, entry));
    }
    for (const { hash, cursor, withheld } of page.entries) {
      if (withheld) await tx.objectStore('withheld').put({ job, hash, cursor });
    }
    for (const hash of spoilt) await tell(tx, job, 'app.sync.spoilt', { hash: hash.slice(0, 12) });
    await tx.objectStore('meta').put(next, pullKey(job));
    if (!page.more) await settle(tx, job);
    return fresh;
  });
}

/** All of the server has been met: what it acknowledged and doesn't have is to be sent again. */
async function settle(tx: Writing, job: string): Promise<void> {
  await restand(tx, job, 'acknowledged', 'unsent');
}

async function restand(tx: Writing, job: string, from: Standing, to: Standing): Promise<void> {
  const rows = await tx.objectStore('entries').index('standing').getAll([job, from]);
  for (const row of rows) await tx.objectStore('entries').put({ ...row, standing: to });
}

/** Put one entry in, or mark that it was met on the server; tells whether it is new here. */
async function takeIn(tx: Writing, entry: Entry, { received, flag }: Sent): Promise<boolean> {
  const store = tx.objectStore('entries');
  const known = await store.get(entry.hash);
  const { reason: _, ...row } = known ?? rowOf(entry);
  await store.put({
    ...row,
    standing: 'met',
    ...(received ? { received } : {}),
    ...(flag ? { flag } : {}),
  });
  return known === undefined;
}

/** A new entry is looked at once: is it from under our own name, or beside another of its number? */
async function noticed(tx: Writing, who: Me, entry: Entry): Promise<Pair> {
  const { job, device, seq } = entry.data;
  const twins = await tx.objectStore('entries').index('device').count([job, device, seq]);
  if (twins > 1) await tell(tx, job, 'app.sync.fork', { device, seq });
  if (device === who.device) await takeNewName(tx, job, device);
  return { hash: entry.hash, text: entry.text };
}

/** Take entries from a file: those new here are to be sent as well. */
export async function takePairs(who: Me, entries: Entry[]): Promise<Pair[]> {
  return strictly(['entries', 'meta', 'told'], async (tx) => {
    const fresh: Pair[] = [];
    for (const entry of entries) {
      if (await tx.objectStore('entries').get(entry.hash)) continue;
      await tx.objectStore('entries').add(rowOf(entry));
      fresh.push(await noticed(tx, who, entry));
    }
    return fresh;
  });
}

export function pullKey(job: string): string {
  return `pull/${job}`;
}

export async function pullOf(job: string): Promise<Pull> {
  return (await meta<Pull>(pullKey(job))) ?? START;
}

/** The server isn't the one it was: read all of it again; until then what was met only counts as acknowledged. */
export async function beginAgain(job: string, epoch: string): Promise<void> {
  await strictly(['entries', 'withheld', 'meta', 'told'], async (tx) => {
    await restand(tx, job, 'met', 'acknowledged');
    await restand(tx, job, 'refused', 'unsent');
    await tx.objectStore('withheld').delete(ofJob(job));
    await tx.objectStore('meta').put({ ...START, epoch }, pullKey(job));
    await tell(tx, job, 'app.sync.again');
  });
}

/** An end of our own chain on the server that isn't here: somebody else writes under our name. */
export async function mindOurName(job: string, who: Me, ends: Link[]): Promise<void> {
  await strictly(['entries', 'withheld', 'meta', 'told'], async (tx) => {
    for (const { hash } of ends) {
      const held = await tx.objectStore('entries').getKey(hash);
      const withheld = await tx.objectStore('withheld').getKey([job, hash]);
      if (!held && !withheld) return takeNewName(tx, job, who.device);
    }
  });
}

/** Devices that used a number more than once, with the numbers; both entries are kept and shown. */
export async function forks(job: string): Promise<{ device: string; numbers: number[] }[]> {
  const rows = await (await book()).getAllFromIndex('entries', 'device', ofJob(job));
  const byDevice = grouped(rows);
  return [...byDevice]
    .map(([device, links]) => ({ device, numbers: forksOf(links) }))
    .filter(({ numbers }) => numbers.length > 0);
}

function grouped(rows: Row[]): Map<string, Row[]> {
  const found = new Map<string, Row[]>();
  for (const row of rows) found.set(row.device, [...(found.get(row.device) ?? []), row]);
  return found;
}

/** What the server put into quarantine, each with the reason; it is all still here. */
export async function refusals(job: string): Promise<{ hash: string; id: string; reason: string }[]> {
  const rows = await (await book()).getAllFromIndex('entries', 'standing', [job, 'refused']);
  return rows.map(({ hash, id, reason = '' }) => ({ hash, id, reason }));
}

/** All entries of a job as they travel, in reading order. */
export async function pairs(job: string): Promise<Pair[]> {
  const rows = await (await book()).getAllFromIndex('entries', 'order', ofJob(job));
  return rows.map(({ hash, text }) => ({ hash, text }));
}
