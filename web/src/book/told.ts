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

/** Tell a person something, within a transaction of the store `told`. */
export async function tell(tx: Writing, job: string, code: string, given: Told['given'] = {}): Promise<void> {
  await tx.objectStore('told').add({ job, at: momentOf(new Date()), code, given });
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
