/** Half-finished forms: on the disk at every touch, so that a call or a dead battery loses nothing. */

import { book, strictly } from './db';
import { spoken } from './full';

export async function saveDraft(key: string, value: unknown): Promise<void> {
  await spoken(
    strictly(['drafts'], async (tx) => {
      await tx.objectStore('drafts').put(value, key);
    }),
  );
}

export async function loadDraft(key: string): Promise<unknown> {
  return (await book()).get('drafts', key);
}

export async function dropDraft(key: string): Promise<void> {
  await strictly(['drafts'], async (tx) => {
    await tx.objectStore('drafts').delete(key);
  });
}

/** The forms that are half done. */
export async function drafts(): Promise<string[]> {
  return (await book()).getAllKeys('drafts');
}
