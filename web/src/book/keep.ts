/** Keeping an entry: written onto this device's chain and on the disk before anything else. */

import { canonical, hashOf, moment, newId, type Pair, type Plain } from './entry';
import { meta, open, setMeta, type Held } from './db';

export interface Draft {
  job: string;
  shift: string;
  kind: string;
  v: number;
  by: string;
  body: Record<string, Plain>;
  at?: string;
  place?: Record<string, Plain>;
  instrument?: string;
  strikes?: string;
  why?: string;
  saw?: Record<string, Plain>;
}

export interface Kept extends Pair {
  id: string;
}

/** This device's name: made once, and made anew when the book shows that it was copied. */
export async function deviceName(): Promise<string> {
  const name = await meta<string>('device');
  return name ?? renameDevice();
}

export async function renameDevice(): Promise<string> {
  const random = crypto.getRandomValues(new Uint8Array(6));
  const name = `phone-${[...random].map((byte) => byte.toString(16).padStart(2, '0')).join('')}`;
  await setMeta('device', name);
  return name;
}

/** Write an entry; it is on the disk when this resolves. Two tabs take turns. */
export async function keep(draft: Draft): Promise<Kept> {
  const written = navigator.locks ? navigator.locks.request('matbook-pen', () => write(draft)) : write(draft);
  try {
    return await written;
  } catch (error) {
    if (error instanceof DOMException && error.name === 'QuotaExceededError') {
      throw new Error('storage-full', { cause: error });
    }
    throw error;
  }
}

async function write(draft: Draft): Promise<Kept> {
  const device = await deviceName();
  const db = await open();
  const range = IDBKeyRange.bound([draft.job, device, 0], [draft.job, device, Infinity]);
  const last = await db
    .transaction('entries')
    .store.index('chain')
    .openCursor(range, 'prev');
  const now = new Date();
  const id = newId(now.getTime(), crypto.getRandomValues(new Uint8Array(10)));
  const { v, by, kind, job, body } = draft;
  const seq = (last?.value.seq ?? 0) + 1;
  const envelope: Record<string, Plain> = {
    ...{ id, job, kind, v, by, device, seq, body },
    prev: last?.value.hash ?? '',
    at: draft.at ?? moment(now),
    written: moment(now),
  };
  for (const name of ['shift', 'instrument', 'strikes', 'why'] as const) {
    if (draft[name]) envelope[name] = draft[name];
  }
  for (const name of ['place', 'saw'] as const) {
    const given = draft[name];
    if (given && Object.keys(given).length) envelope[name] = given;
  }
  const text = canonical(envelope);
  const hash = await hashOf(text);
  const held: Held = { hash, text, job, device, seq, sent: 0, refused: '' };
  const tx = db.transaction('entries', 'readwrite', { durability: 'strict' });
  await Promise.all([tx.store.add(held), tx.done]);
  return { id, hash, text };
}

/** Hold entries that came from elsewhere, once each; returns those that are new here. */
export async function hold(pairs: Pair[], sent: 0 | 1): Promise<Pair[]> {
  const db = await open();
  const fresh: Pair[] = [];
  const tx = db.transaction('entries', 'readwrite', { durability: 'strict' });
  for (const { hash, text } of pairs) {
    const before = await tx.store.get(hash);
    const { job, device, seq } = JSON.parse(text) as Held;
    if (!before) fresh.push({ hash, text });
    if (!before || before.sent < sent) {
      await tx.store.put({ hash, text, job, device, seq, sent, refused: '' });
    }
  }
  await tx.done;
  return fresh;
}
