/** What this device holds, in IndexedDB: every write is on the disk before it is said to be kept. */

import { openDB, type DBSchema, type IDBPDatabase } from 'idb';

export interface Held {
  hash: string;
  text: string;
  job: string;
  device: string;
  seq: number;
  /** 0 while the server has not said that it has it. */
  sent: 0 | 1;
  /** Why the server would not take it; empty if it did, or was not asked yet. */
  refused: string;
}

interface Schema extends DBSchema {
  entries: {
    key: string;
    value: Held;
    indexes: { chain: [string, string, number]; job: string; waiting: [string, number] };
  };
  meta: { key: string; value: unknown };
  drafts: { key: string; value: unknown };
}

let opening: Promise<IDBPDatabase<Schema>> | undefined;

export function open(): Promise<IDBPDatabase<Schema>> {
  opening ??= openDB<Schema>('matbook', 1, {
    upgrade(db) {
      const entries = db.createObjectStore('entries', { keyPath: 'hash' });
      entries.createIndex('chain', ['job', 'device', 'seq']);
      entries.createIndex('job', 'job');
      entries.createIndex('waiting', ['job', 'sent']);
      db.createObjectStore('meta');
      db.createObjectStore('drafts');
    },
  });
  return opening;
}

export async function meta<T>(key: string): Promise<T | undefined> {
  return (await (await open()).get('meta', key)) as T | undefined;
}

export async function setMeta(key: string, value: unknown): Promise<void> {
  await put('meta', key, value);
}

export async function saveDraft(key: string, value: unknown): Promise<void> {
  await put('drafts', key, value);
}

export async function loadDraft(key: string): Promise<unknown> {
  return (await open()).get('drafts', key);
}

export async function dropDraft(key: string): Promise<void> {
  await (await open()).delete('drafts', key);
}

export async function draftKeys(): Promise<string[]> {
  return (await open()).getAllKeys('drafts');
}

export async function entriesOf(job: string): Promise<Held[]> {
  return (await open()).getAllFromIndex('entries', 'job', job);
}

/** How many entries the server has not said it has: counted, never remembered. */
export async function unsent(job: string): Promise<number> {
  return (await open()).countFromIndex('entries', 'waiting', [job, 0]);
}

async function put(store: 'meta' | 'drafts', key: string, value: unknown): Promise<void> {
  const db = await open();
  const tx = db.transaction(store, 'readwrite', { durability: 'strict' });
  await Promise.all([tx.store.put(value, key), tx.done]);
}
