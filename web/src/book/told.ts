/** What a person must get to see: it stays in the book until they have put it away. */

import english from '../generated/words-en.json';
import { book, strictly, type Told, type Writing } from './db';
import { announce } from './news';
import { momentOf } from './moment';
import { Trouble } from './trouble';
import { say, type Sentences } from './words';

/** A trouble whose sentence stands in the words files; screens may say `code` in their language. */
export function trouble(code: string, given: Record<string, string | number> = {}): Trouble {
  return new Trouble(code, say(english as Sentences, code, given), given);
}

/** Tell a person something, within a transaction of the store `told`; once until it is put away. */
export async function tell(tx: Writing, job: string, code: string, given: Told['given'] = {}): Promise<void> {
  const store = tx.objectStore('told');
  const before = await store.index('job').getAll(job);
  if (before.some((one) => one.code === code && about(one.given) === about(given))) return;
  await store.add({ job, at: momentOf(new Date()), code, given });
}

/** What something is told of: a fork of a hundred entries is one thing to know of one device. */
function about(given: Told['given']): string {
  return String(given.device ?? JSON.stringify(given));
}

/** Everything told and not yet put away, oldest first, each with its sentence in English. */
export async function told(job: string): Promise<(Told & { id: number; sentence: string })[]> {
  const found = await (await book()).getAllFromIndex('told', 'job', job);
  return found.map((one) => ({
    ...one,
    id: one.id ?? 0,
    sentence: say(english as Sentences, one.code, one.given),
  }));
}

export async function putAway(id: number): Promise<void> {
  await strictly(['told'], async (tx) => {
    await tx.objectStore('told').delete(id);
  });
  announce({ told: true });
}
