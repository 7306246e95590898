/** What a person must get to see: it stays in the book until they have put it away. */

import { book, strictly, type Told, type Writing } from './db';
import { announce } from './news';
import { momentOf } from './moment';
import { Trouble } from './trouble';
import { say, spoken } from './words';

/** A trouble whose sentence stands in the words files; screens say `code` anew when the language changes. */
export function trouble(code: string, given: Record<string, string | number> = {}): Trouble {
  return new Trouble(code, say(spoken, code, given), given);
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

/** Everything told and not yet put away, oldest first, each with its sentence. */
export async function told(job: string): Promise<(Told & { id: number; sentence: string })[]> {
  const found = await (await book()).getAllFromIndex('told', 'job', job);
  return found.map((one) => ({
    ...one,
    id: one.id ?? 0,
    sentence: say(spoken, one.code, one.given),
  }));
}

export async function putAway(id: number): Promise<void> {
  await strictly(['told'], async (tx) => {
    await tx.objectStore('told').delete(id);
  });
  announce({ told: true });
}
