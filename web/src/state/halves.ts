/** What was left half finished, and where each form goes on. */

import { drafts } from '../book';
import { FORMS, kindTitle } from './forms';
import { shift } from './shift.svelte';
import { words } from './words.svelte';

interface Half {
  title: string;
  path: string[];
}

/** Forms left half filled in: what each is, and where it goes on. */
export async function halfDone(): Promise<Half[]> {
  return (await drafts()).flatMap((key) => halfDoneAs(key) ?? []);
}

function halfDoneAs(key: string): Half | undefined {
  const [first = '', ...more] = key.split('/');
  const rest = more.join('/');
  const alone: Record<string, Half | undefined> = {
    load: { title: kindTitle('load'), path: ['load'] },
    handover: rest === shift.name ? { title: kindTitle('handover'), path: ['handover'] } : undefined,
    tell: { title: words('app.tell.title'), path: ['tell', rest] },
    plan: { title: words('app.plan.change'), path: ['plan', rest] },
    correct: {
      title: `${words('app.entry.correct')}: ${shift.short(rest)}`,
      path: ['entry', rest, 'correct'],
    },
  };
  if (first in alone) return alone[first];
  if (!(first in FORMS)) return undefined;
  return { title: kindTitle(first), path: ['write', first, ...(rest ? [rest] : [])] };
}
