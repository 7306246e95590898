/**
 * This device's clock beside the server's. Entries carry the device's own time, and nothing else says
 * when they were written: so a clock that is wrong is told, once for each time it goes wrong.
 */

import { meta, strictly } from './db';
import { momentOf } from './moment';
import { tell } from './told';

const MOST_APART_MS = 5 * 60_000;
const KEY = 'clock';

/** Both clocks when the last answer came; null before the first. */
let heard: { here: number; there: number } | null = null;

/** Read the server's clock off an answer; `asked` is when it was asked for, by this device's clock. */
export function hearClock(answer: Response, asked: number): void {
  const there = Date.parse(answer.headers.get('Date') ?? '');
  if (Number.isNaN(there)) return;
  const now = Date.now();
  // it was there some time between asking and now: a phone may sleep before it reads the answer
  heard = { here: Math.min(Math.max(there, asked), now), there };
}

/** Tell the person if the clocks are far apart and that isn't known yet. */
export async function mindOurClock(job: string): Promise<void> {
  if (!heard) return;
  const { here, there } = heard;
  const apart = here - there;
  const known = (await meta<number>(KEY)) ?? 0;
  if (Math.abs(apart - known) < MOST_APART_MS) return;
  await strictly(['meta', 'told'], async (tx) => {
    await tx.objectStore('meta').put(apart, KEY);
    if (Math.abs(apart) < MOST_APART_MS) return;
    await tell(tx, job, 'app.sync.clock', { here: plainly(here), there: plainly(there) });
  });
}

/** Date and time of day where this device is. */
function plainly(time: number): string {
  return momentOf(new Date(time)).slice(0, 16).replace('T', ' ');
}
