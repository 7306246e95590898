/** Talking to the server: one shape of question, one shape of trouble. */

import type { Link } from './chains';
import { hearClock } from './clock';
import type { Pull } from './db';
import { me, type SignedHead } from './device';
import type { Pair } from './entry';
import { trouble } from './told';
import { Trouble } from './trouble';

export interface Receipt {
  hash: string;
  cursor: number;
  state: 'kept' | 'had' | 'refused';
  reason?: string;
  flag?: string;
}

export interface Pushed {
  epoch: string;
  heads: Record<string, Link[]>;
  receipts: Receipt[];
  signed?: string;
}

export interface Sent {
  cursor: number;
  hash: string;
  text?: string;
  received?: string;
  flag?: string;
  withheld?: boolean;
}

export interface Pulled {
  epoch: string;
  heads: Record<string, Link[]>;
  cursor: number;
  more: boolean;
  again: boolean;
  entries: Sent[];
}

const PATIENCE_MS = 30_000;
/** Too many at once, or nobody there behind the door: to be tried again as it is. */
const BUSY = [429, 502, 503, 504];

/** The server can't be reached, or has too much to do: no trouble, only a state. */
export class Unreachable extends Error {
  constructor(
    why: string,
    /** How long the server asks us to wait; 0 if it doesn't say. */
    readonly waitMs = 0,
  ) {
    super(why);
  }
}

/** What the server said no to, in its own words. */
export class ServerSaid extends Trouble {
  constructor(
    readonly status: number,
    code: string,
    sentence: string,
  ) {
    super(code, sentence);
  }
}

export function push(job: string, entries: Pair[], signed: SignedHead | null): Promise<Pushed> {
  return ask('POST', `${jobPath(job)}/entries`, { entries, signed });
}

export function pull(job: string, at: Pull, limit: number): Promise<Pulled> {
  const { after, behind, received } = at;
  const query = new URLSearchParams({ after: `${after}`, behind, received, limit: `${limit}` });
  return ask('GET', `${jobPath(job)}/entries?${query}`);
}

/** Ask for JSON and give JSON; throws Unreachable or ServerSaid. */
export async function ask<T>(method: string, path: string, body?: unknown): Promise<T> {
  const init = body === undefined ? {} : { body: JSON.stringify(body) };
  const headers: Record<string, string> = body === undefined ? {} : { 'Content-Type': 'application/json' };
  const response = await send(path, { method, headers, ...init });
  try {
    return (await response.json()) as T;
  } catch {
    throw new Unreachable(`${path}: the answer was cut off`);
  }
}

/** One request with this device's token; throws unless the server said yes (or 404, where allowed). */
export async function send(path: string, init: RequestInit, allowed: number[] = []): Promise<Response> {
  const { token } = await me();
  const headers = { ...(init.headers as Record<string, string>), ...bearer(token) };
  const asked = Date.now();
  let response: Response;
  try {
    const signal = init.signal ?? AbortSignal.timeout(PATIENCE_MS);
    response = await fetch(path, { cache: 'no-store', ...init, headers, signal });
  } catch (error) {
    throw new Unreachable(String(error));
  }
  hearClock(response, asked);
  if (response.ok || allowed.includes(response.status)) return response;
  throw await refusal(response);
}

function bearer(token: string): Record<string, string> {
  return token ? { Authorization: `Bearer ${token}` } : {};
}

async function refusal(response: Response): Promise<Error> {
  const { status } = response;
  const waitMs = 1000 * (Number(response.headers.get('Retry-After')) || 0);
  if (BUSY.includes(status)) return new Unreachable(`${status} from the server`, waitMs);
  try {
    const { error } = (await response.json()) as { error: { code: string; sentence: string } };
    return new ServerSaid(status, error.code, error.sentence);
  } catch {
    const { message, code } = trouble('app.sync.odd-answer', { status });
    return new ServerSaid(status, code, message);
  }
}

export function jobPath(job: string): string {
  return `/api/jobs/${encodeURIComponent(job)}`;
}
