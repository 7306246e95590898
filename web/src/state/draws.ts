/** The owner's secret numbers of draws: kept on this device alone, in no entry until revealed. */

import { hex, meta, random, setMeta } from '../book';

const BYTES = 32;

const key = (job: string): string => `draws/${job}`;

/** Every number that this device holds for a job, by lot. */
export async function secretNumbers(job: string): Promise<Record<string, string>> {
  return (await meta<Record<string, string>>(key(job))) ?? {};
}

/** The number of a lot; made, and on the disk, where there is none yet. */
export async function secretNumber(job: string, lot: string): Promise<string> {
  const held = await secretNumbers(job);
  const own = held[lot] ?? hex(random(BYTES));
  await setMeta(key(job), { ...held, [lot]: own });
  return own;
}
