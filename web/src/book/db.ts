/** The device's own book, in IndexedDB. What is written strictly is on the disk when it is done. */

import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB, type StoreNames } from 'idb';
import type { Entry } from './entry';
import { instant } from './moment';

const NAME = 'matbook';
const VERSION = 1;

/**
 * What is known of an entry on the server: nothing yet; a receipt, which counts until the next pull
 * that reaches the end; that a pull met it there; or that the server put it into quarantine.
 */
export type Standing = 'unsent' | 'acknowledged' | 'met' | 'refused';

/** An entry as it lies here, with what is known of it on the server. */
export interface Row {
  hash: string;
  text: string;
  job: string;
  shift: string;
  kind: string;
  id: string;
  by: string;
  device: string;
  seq: number;
  prev: string;
  /** Instants in microseconds, for the reading order. */
  at: number;
  written: number;
  standing: Standing;
  /** Why the server put it into quarantine. */
  reason?: string;
  flag?: string;
  received?: string;
}

/** How far this device has read the server's book of a job. */
export interface Pull {
  epoch: string;
  after: number;
  /** The entry at that cursor, and when the server received it. */
  behind: string;
  received: string;
}

/** Something a person must get to see; it stays until they have. */
export interface Told {
  id?: number;
  job: string;
  at: string;
  code: string;
  given: Record<string, string | number>;
}

/** A photo or scan: its original, and a small copy for the screen. */
export interface Photo {
  hash: string;
  job: string;
  type: string;
  name: string;
  bytes: ArrayBuffer;
  small: ArrayBuffer | null;
  /** There while the server hasn't all of it. */
  unsent?: 1;
}

interface Schema extends DBSchema {
  entries: {
    key: string;
    value: Row;
    indexes: {
      order: [string, number, number, string, number, string];
      device: [string, string, number];
      standing: [string, Standing];
      id: [string, string];
    };
  };
  withheld: { key: [string, string]; value: { job: string; hash: string; cursor: number } };
  meta: { key: string; value: unknown };
  told: { key: number; value: Told; indexes: { job: string } };
  drafts: { key: string; value: unknown };
  photos: { key: [string, string]; value: Photo; indexes: { unsent: [string, 1] } };
}

export type Book = IDBPDatabase<Schema>;
export type Writing = IDBPTransaction<Schema, StoreNames<Schema>[], 'readwrite'>;

let opened: Promise<Book> | undefined;

/** The open book; opened again if the browser closed it. */
export function book(): Promise<Book> {
  opened ??= open().catch((error: unknown) => {
    opened = undefined;
    throw error;
  });
  return opened;
}

function open(): Promise<Book> {
  return openDB<Schema>(NAME, VERSION, {
    upgrade(db) {
      const entries = db.createObjectStore('entries', { keyPath: 'hash' });
      entries.createIndex('order', ['job', 'at', 'written', 'device', 'seq', 'hash']);
      entries.createIndex('device', ['job', 'device', 'seq']);
      entries.createIndex('standing', ['job', 'standing']);
      entries.createIndex('id', ['job', 'id']);
      db.createObjectStore('withheld', { keyPath: ['job', 'hash'] });
      db.createObjectStore('meta');
      db.createObjectStore('told', { keyPath: 'id', autoIncrement: true }).createIndex('job', 'job');
      db.createObjectStore('drafts');
      db.createObjectStore('photos', { keyPath: ['job', 'hash'] }).createIndex('unsent', ['job', 'unsent']);
    },
    blocking(_current, _wanted, event) {
      (event.target as IDBDatabase).close(); // a newer app in another tab needs the book
      opened = undefined;
    },
    terminated() {
      opened = undefined;
    },
  });
}

/** Run one transaction that is on the disk, whole, when the promise resolves; or not at all. */
export async function strictly<T>(
  stores: StoreNames<Schema>[],
  work: (tx: Writing) => Promise<T>,
): Promise<T> {
  const tx = (await book()).transaction(stores, 'readwrite', { durability: 'strict' });
  const done = tx.done;
  done.catch(() => undefined); // it is awaited below, once the work has said what went wrong
  let result: T;
  try {
    result = await work(tx);
  } catch (error) {
    abort(tx);
    throw await cause(done, error);
  }
  await done;
  return result;
}

/** A full disk ends the transaction, and whatever was asked of it next fails for that alone. */
async function cause(done: Promise<void>, error: unknown): Promise<unknown> {
  const ended: unknown = await done.catch((why: unknown) => why);
  return ended instanceof DOMException && ended.name === 'QuotaExceededError' ? ended : error;
}

function abort(tx: Writing): void {
  try {
    tx.abort();
  } catch {
    // it has ended by itself
  }
}

/** The row of an entry that is new here and not known to be on the server. */
export function rowOf(entry: Entry): Row {
  const { hash, text, data } = entry;
  const { job, shift = '', kind, id, by, device, seq, prev } = data;
  const moments = { at: instant(data.at), written: instant(data.written) };
  return { hash, text, job, shift, kind, id, by, device, seq, prev, ...moments, standing: 'unsent' };
}

/** All keys of one job, in an index that begins with the job. */
export function ofJob(job: string, ...more: string[]): IDBKeyRange {
  return IDBKeyRange.bound([job, ...more], [job, ...more, []]);
}

export async function meta<T>(key: string): Promise<T | undefined> {
  return (await (await book()).get('meta', key)) as T | undefined;
}

export async function setMeta(key: string, value: unknown): Promise<void> {
  await strictly(['meta'], async (tx) => {
    await tx.objectStore('meta').put(value, key);
  });
}
