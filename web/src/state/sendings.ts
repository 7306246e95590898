/** What became of notices on their way out, as the server last said: the core puts it into words. */

import { askServer, jobPath, meta, setMeta, Trouble, Unreachable } from '../book';

export interface Sending {
  entry: string;
  person: string;
  how: string;
  state: string;
  why: string;
  said: string;
  at: string;
  tries: number;
}

export interface Sendings {
  /** Whether the server sends at all. */
  on: boolean;
  sendings: Sending[];
}

/** The latest are kept: their ids grow with time. */
const MOST = 200;
const WRITTEN = ['mail', 'message'];

/** Whether a notice is one that a server may send. */
export function isWritten(body: Record<string, unknown>): boolean {
  return WRITTEN.includes(String(body.how));
}

export async function heldSendings(job: string): Promise<Sendings> {
  return (await meta<Sendings>(`sendings/${job}`)) ?? { on: false, sendings: [] };
}

/** Ask the server; what was known before if it can't be asked. */
export async function freshSendings(job: string, before: Sendings): Promise<Sendings> {
  try {
    const { on, sendings } = await askServer<Sendings>('GET', `${jobPath(job)}/sendings`);
    const found = { on, sendings: sendings.slice(-MOST) };
    if (JSON.stringify(found) === JSON.stringify(before)) return before;
    await setMeta(`sendings/${job}`, found);
    return found;
  } catch (error) {
    if (error instanceof Unreachable || error instanceof Trouble) return before;
    throw error;
  }
}
