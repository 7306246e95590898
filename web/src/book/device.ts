/** This device: its name in the chains, the person writing, its key, and what the server gave it. */

import { canonical } from './canonical';
import { meta, setMeta, strictly, type Writing } from './db';
import { newDevice } from './ids';
import { momentOf } from './moment';
import { tell } from './told';

export interface Me {
  device: string;
  /** Who writes: a person's id in the plan, or a name; empty until somebody said. */
  person: string;
  job: string;
  role: string;
  name: string;
  token: string;
}

/** The end of this device's chain, signed with its key. */
export interface SignedHead {
  device: string;
  seq: number;
  hash: string;
  at: string;
  signature: string;
}

const ME = 'me';
const KEY = 'key';
const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256' };

/** Who and what this is; a device gets its name when first asked. */
export async function me(): Promise<Me> {
  const known = await meta<Me>(ME);
  if (known) return known;
  return strictly(['meta'], async (tx) => {
    const store = tx.objectStore('meta');
    const found = (await store.get(ME)) as Me | undefined; // another tab may have been first
    const made = found ?? { device: newDevice(), person: '', job: '', role: '', name: '', token: '' };
    if (!found) await store.put(made, ME);
    return made;
  });
}

/** Change what is known of this device, such as the person who writes. */
export async function setMe(change: Partial<Omit<Me, 'device'>>): Promise<Me> {
  await me();
  return strictly(['meta'], async (tx) => {
    const changed = { ...((await tx.objectStore('meta').get(ME)) as Me), ...change };
    await tx.objectStore('meta').put(changed, ME);
    return changed;
  });
}

/**
 * Take a new name, because the book holds entries under this one that are not here: the device was
 * cloned, or put back from a copy. Within a transaction of `meta` and `told`.
 */
export async function takeNewName(tx: Writing, job: string, was: string): Promise<void> {
  const store = tx.objectStore('meta');
  const known = (await store.get(ME)) as Me | undefined;
  if (!known || known.device !== was) return;
  const device = newDevice();
  await store.put({ ...known, device }, ME);
  await tell(tx, job, 'app.sync.copied', { was, device });
}

/** The key of this device, made once; it can't be exported. Null where the browser has no such keys. */
async function key(): Promise<CryptoKeyPair | null> {
  const known = await meta<CryptoKeyPair>(KEY);
  if (known) return known;
  try {
    const made = await crypto.subtle.generateKey(ALGORITHM, false, ['sign', 'verify']);
    await setMeta(KEY, made);
    return (await meta<CryptoKeyPair>(KEY)) ?? null;
  } catch (error) {
    if (error instanceof DOMException) return null; // the entries count without a signed head too
    throw error;
  }
}

/** The public half of this device's key, to be handed over at pairing. */
export async function publicKey(): Promise<JsonWebKey | null> {
  const pair = await key();
  if (!pair) return null;
  const { kty, crv, x, y } = await crypto.subtle.exportKey('jwk', pair.publicKey);
  return { kty, crv, x, y } as JsonWebKey;
}

/** Sign how far this device's chain of a job reaches; null before pairing. */
export async function signedHead(job: string, seq: number, hash: string): Promise<SignedHead | null> {
  const { device, token } = await me();
  const pair = token ? await key() : null;
  if (!pair) return null;
  const head = { device, seq, hash, at: momentOf(new Date()) };
  const text = new TextEncoder().encode(canonical({ job, ...head }));
  const raw = await crypto.subtle.sign({ name: 'ECDSA', hash: 'SHA-256' }, pair.privateKey, text);
  return { ...head, signature: base64url(new Uint8Array(raw)) };
}

function base64url(bytes: Uint8Array): string {
  const text = btoa(String.fromCharCode(...bytes));
  return text.replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}
