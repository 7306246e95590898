/** What has changed in the book, told to everything on this page and to the other tabs. */

import type { Pair } from './entry';

export interface News {
  /** Entries that came in, by this device's own pen or from elsewhere. */
  job?: string;
  entries?: Pair[];
  /** They are to be sent to the server. */
  toSend?: boolean;
  /** What is known of entries on the server has changed. */
  sent?: boolean;
  told?: boolean;
  files?: boolean;
}

type Listener = (news: News) => void;

const listeners = new Set<Listener>();
const others = typeof BroadcastChannel === 'undefined' ? undefined : new BroadcastChannel('matbook');

others?.addEventListener('message', (event: MessageEvent<News>) => hear(event.data));

/** Hear of every change; returns how to stop. */
export function listen(listener: Listener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

export function announce(news: News): void {
  hear(news);
  others?.postMessage(news);
}

function hear(news: News): void {
  for (const listener of listeners) listener(news);
}
