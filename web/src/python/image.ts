/**
 * The memory of a Python that has started, with the core in it: kept on the device, so that the
 * next start reads it instead of importing everything again. It holds nothing of any book.
 */

import { room } from '../book/room';
import { sha256OfBytes } from '../book/sha256';

const HELD = 'python'; // the service worker leaves this cache alone
/** It is kept where so many times its length is free, or nobody says what is: the book goes first. */
const ROOM = 10;

/** What it is called: it serves for this core alone, and in the browser that made it, as it is. */
export function imageAddress(core: string): URL {
  return new URL(`/${core}.image?${encodeURIComponent(navigator.userAgent)}`, location.origin);
}

/** The image, if one is held and whole. */
export async function heldImage(address: URL): Promise<Uint8Array<ArrayBuffer> | undefined> {
  if (!('caches' in globalThis)) return undefined;
  const held = await caches.match(address, { cacheName: HELD });
  if (!held) return undefined;
  const bytes = new Uint8Array(await held.arrayBuffer());
  return (await sha256OfBytes(bytes)) === held.headers.get('sha256') ? bytes : undefined;
}

/** Keep an image in the place of any other, where there is ample room. */
export async function keepImage(address: URL, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
  if (!('caches' in globalThis)) return;
  const { used, allowed } = await room();
  if (allowed && allowed - used < ROOM * bytes.length) return;
  const sha256 = await sha256OfBytes(bytes);
  await dropImage();
  await (await caches.open(HELD)).put(address, new Response(bytes, { headers: { sha256 } }));
}

export async function dropImage(): Promise<void> {
  if ('caches' in globalThis) await caches.delete(HELD);
}
