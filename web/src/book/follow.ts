/** The server's stream that says “there is something to pull”; read with fetch, so that it can be signed in. */

import { jobPath, send, Unreachable } from './api';
import { Trouble } from './trouble';

/** Without a line for so long the connection is dead, whatever the browser thinks. */
const QUIET_MS = 45_000;
const PAUSE_MS = 5_000;
const LONGEST_PAUSE_MS = 120_000;

/** Call `more` whenever the server says so; returns how to stop. One tab listens for all. */
export function follow(job: string, more: () => void): () => void {
  const stop = new AbortController();
  void leading(stop.signal, () => listening(job, more, stop.signal));
  return () => stop.abort();
}

async function leading(signal: AbortSignal, work: () => Promise<void>): Promise<void> {
  const { locks } = navigator as { locks?: LockManager };
  if (!locks) return work();
  try {
    await locks.request('matbook-follow', { signal }, work);
  } catch (error) {
    if (!(error instanceof DOMException && error.name === 'AbortError')) throw error;
  }
}

async function listening(job: string, more: () => void, stop: AbortSignal): Promise<void> {
  for (let failures = 0; !stop.aborted; ) {
    const heard = await listenOnce(job, more, stop);
    failures = heard ? 0 : failures + 1;
    await rest(Math.min(LONGEST_PAUSE_MS, PAUSE_MS * 2 ** failures), stop);
  }
}

/** Read the stream until it ends; tells whether anything came. */
async function listenOnce(job: string, more: () => void, stop: AbortSignal): Promise<boolean> {
  const dead = new AbortController();
  const { signal } = dead;
  const end = () => dead.abort();
  stop.addEventListener('abort', end);
  let heard = false;
  let timer = setTimeout(end, QUIET_MS);
  try {
    const response = await send(`${jobPath(job)}/changes`, { signal, headers: { Accept: 'text/event-stream' } });
    const reader = response.body?.pipeThrough(new TextDecoderStream()).getReader();
    for (let text = ''; reader; ) {
      const { done, value } = await reader.read();
      if (done) break;
      heard = true;
      clearTimeout(timer);
      timer = setTimeout(end, QUIET_MS);
      text += value;
      if (/^event: more$/m.test(text)) more();
      text = text.slice(text.lastIndexOf('\n') + 1);
    }
  } catch (error) {
    if (!isExpected(error)) throw error;
  } finally {
    clearTimeout(timer);
    stop.removeEventListener('abort', end);
  }
  return heard;
}

/** A connection that broke, was stopped, or was refused: we ask again later. */
function isExpected(error: unknown): boolean {
  const kinds = [Trouble, Unreachable, TypeError, DOMException];
  return kinds.some((kind) => error instanceof kind);
}

function rest(ms: number, stop: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, ms);
    stop.addEventListener('abort', () => {
      clearTimeout(timer);
      resolve();
    });
  });
}
