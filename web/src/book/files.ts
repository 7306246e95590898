/**
 * Photos and scans: the hash is that of the original bytes, taken before anything is made smaller.
 * They go up in pieces after the entries that name them, and go on where the connection was cut.
 */

import { jobPath, send, ServerSaid } from './api';
import { book, ofJob, type Photo, strictly } from './db';
import { spoken } from './full';
import { announce } from './news';
import { drawn } from './pixels';
import { sha256OfBytes } from './sha256';
import { trouble } from './told';
import type { Trouble } from './trouble';

const PIECE = 1024 * 1024;
const SMALL_PX = 480;
const SMALL_QUALITY = 0.8;

export interface KeptPhoto {
  hash: string;
  bytes: number;
}

/** What the office takes, by its own bytes as well; see `matbook.server.images`. */
export const TAKEN = ['image/jpeg', 'image/png', 'image/webp', 'image/avif', 'application/pdf'];
const MOST_BYTES = 64 * 1024 * 1024;

/** Keep the original of a photo or scan; resolves when it is on the disk, and is to be sent. */
export async function keepPhoto(job: string, file: Blob, name = ''): Promise<KeptPhoto> {
  if (file.size === 0) throw trouble('app.photo.empty', { name });
  const held = await holdPhoto(job, file, name);
  await releasePhotos(job, [held.hash]);
  return held;
}

/** Keep the original for a form that is half done: it is on the disk, and not yet for the office. */
export async function holdPhoto(job: string, file: Blob, name = ''): Promise<KeptPhoto> {
  if (!TAKEN.includes(file.type)) throw trouble('app.photo.other-type', { name });
  if (file.size > MOST_BYTES) throw trouble('app.photo.too-large', { name });
  const bytes = await file.arrayBuffer();
  const hash = await sha256OfBytes(bytes);
  const small = await smaller(file);
  const photo: Photo = { hash, job, type: file.type, name, bytes, small };
  await spoken(
    strictly(['photos'], async (tx) => {
      const store = tx.objectStore('photos');
      if (!(await store.getKey([job, hash]))) await store.add(photo);
    }),
  );
  announce({ files: true });
  return { hash, bytes: bytes.byteLength };
}

/** What was held is for the office now; those that aren't here are left alone. */
export async function releasePhotos(job: string, hashes: string[]): Promise<void> {
  await spoken(
    strictly(['photos'], async (tx) => {
      const store = tx.objectStore('photos');
      for (const hash of hashes) {
        const photo = await store.get([job, hash]);
        if (photo) await store.put({ ...photo, unsent: 1 });
      }
    }),
  );
  announce({ files: true, toSend: true });
}

/** Let go of photos that were held and left out again; what an entry or another form names stays. */
export async function dropPhotos(job: string, hashes: string[]): Promise<void> {
  if (!hashes.length) return;
  await strictly(['photos', 'entries', 'drafts'], async (tx) => {
    const entries = await tx.objectStore('entries').index('order').getAll(ofJob(job));
    const forms = await tx.objectStore('drafts').getAll();
    const texts = [...entries.map(({ text }) => text), ...forms.map((form) => JSON.stringify(form))];
    for (const hash of hashes) {
      const named = texts.some((text) => text.includes(hash));
      if (!named) await tx.objectStore('photos').delete([job, hash]);
    }
  });
  announce({ files: true });
}

/** A photo as the screen shows it; null if it is neither here nor, just now, on the server. */
export async function photo(job: string, hash: string): Promise<Blob | null> {
  const found = await (await book()).get('photos', [job, hash]);
  return found?.small ? new Blob([found.small], { type: 'image/jpeg' }) : original(job, hash);
}

/** The original of a photo or scan, byte for byte; null as above. */
export async function original(job: string, hash: string): Promise<Blob | null> {
  const found = await (await book()).get('photos', [job, hash]);
  if (found) return new Blob([found.bytes], { type: found.type });
  try {
    const response = await send(`${jobPath(job)}/attachments/${hash}`, {}, [404, 409]);
    return response.ok ? await response.blob() : null;
  } catch {
    return null;
  }
}

/** A copy small enough for the screen; null for what the browser can't draw. */
async function smaller(file: Blob): Promise<ArrayBuffer | null> {
  try {
    const image = await createImageBitmap(file);
    const canvas = drawn(image, image.width, image.height, SMALL_PX);
    image.close();
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', SMALL_QUALITY));
    return blob && (await blob.arrayBuffer());
  } catch (error) {
    if (error instanceof DOMException) return null;
    throw error;
  }
}

/** Send what the server hasn't got; one that no entry names there yet waits for the next time. */
export async function sendFiles(job: string): Promise<void> {
  const keys = await (await book()).getAllKeysFromIndex('photos', 'unsent', [job, 1]);
  let refused: Trouble | undefined;
  for (const key of keys) {
    const found = await (await book()).get('photos', key);
    if (found) refused = (await sendOne(found)) ?? refused;
  }
  if (refused) throw refused;
}

/** Send one; gives the trouble where the server won't have it, so that the others still go. */
async function sendOne(photo: Photo): Promise<Trouble | undefined> {
  const path = `${jobPath(photo.job)}/attachments/${photo.hash}`;
  const looked = await send(path, { method: 'HEAD' }, [404, 409]);
  if (looked.status === 409) return undefined;
  const size = photo.bytes.byteLength;
  let offset = looked.ok ? Number(looked.headers.get('Upload-Offset') ?? 0) : 0;
  try {
    for (let whole = looked.ok && offset === size; !whole; ) {
      ({ offset, whole } = await sendPiece(path, photo.bytes, offset));
    }
    await mark(photo);
    return undefined;
  } catch (error) {
    if (!(error instanceof ServerSaid)) throw error;
    return trouble('app.sync.photo-refused', { name: photo.name || photo.hash.slice(0, 12), why: error.message });
  }
}

async function sendPiece(path: string, bytes: ArrayBuffer, offset: number) {
  const end = Math.min(bytes.byteLength, offset + PIECE);
  const response = await send(path, {
    method: 'PUT',
    headers: {
      'Content-Type': 'application/octet-stream',
      'Content-Range': `bytes ${offset}-${end - 1}/${bytes.byteLength}`,
    },
    body: bytes.slice(offset, end),
  });
  return (await response.json()) as { offset: number; whole: boolean };
}

async function mark({ job, hash }: Photo): Promise<void> {
  await strictly(['photos'], async (tx) => {
    const photo = await tx.objectStore('photos').get([job, hash]);
    if (!photo) return;
    const { unsent: _, ...rest } = photo;
    await tx.objectStore('photos').put(rest);
  });
  announce({ files: true });
}
