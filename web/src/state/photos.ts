/** Several photos at once. */

import { record, shift, type ToKeep, withdraw } from './shift.svelte';
import { words } from './words.svelte';

/** Keep one entry for each photo, alike but for the photo; returns how many were kept. */
export async function recordPhotos(
  given: ToKeep,
  hashes: string[],
  ontrouble?: (sentence: string) => void,
): Promise<number> {
  const kept: string[] = [];
  for (const file of hashes) {
    const one = await record({ ...given, body: { ...given.body, file } }, ontrouble);
    if (!one) break;
    kept.push(one.id);
  }
  if (kept.length > 1) {
    const undo = async () => {
      for (const id of kept) await withdraw(id);
    };
    shift.said = { words: words('app.photo.kept', { n: kept.length }), undo };
  }
  return kept.length;
}
