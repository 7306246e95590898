/** Asking the core: answers come when they come, and nothing that is written waits for them. */

import { listen, pairs as heldPairs, type Pair, Trouble } from '../book';
import assets from '../generated/assets.json';
import type { Added, Answered, CoreAnswer, Order } from './door';

export type CoreState = 'starting' | 'ready' | 'failed';

interface Waiting {
  done: (json: string) => void;
  failed: (error: Error) => void;
}

export class Core {
  state: CoreState = 'starting';
  /** Resolves when Python stands; rejects if it can't be started. */
  readonly ready: Promise<void>;
  /** Whether Python was woken from its image on this device, and not started anew. */
  woken = false;

  private readonly worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  private readonly waiting = new Map<number, Waiting>();
  private readonly listeners = new Set<(state: CoreState) => void>();
  private orders = 0;

  constructor(base: string) {
    this.worker.onmessage = (event: MessageEvent<Answered>) => this.hear(event.data);
    this.worker.onerror = (event) => this.fail(event.message || 'The worker could not be started.');
    this.ready = this.order({ what: 'start', base, core: assets.core, python: 'pyodide/' }).then(
      (json) => {
        this.woken = JSON.parse(json) as boolean;
        this.become('ready');
      },
      (error: Error) => {
        this.fail(error.message);
        throw error;
      },
    );
    this.ready.catch(() => undefined); // `state` tells it too
  }

  /** Hear of the state, beginning with what it is; returns how to stop. */
  subscribe(listener: (state: CoreState) => void): () => void {
    this.listeners.add(listener);
    listener(this.state);
    return () => this.listeners.delete(listener);
  }

  /** Open the book of a job with these entries. */
  async open(job: string, pairs: Pair[]): Promise<Added[]> {
    return JSON.parse(await this.order({ what: 'open', job, pairs })) as Added[];
  }

  /** Add entries as they come, in any order, as often as they come. */
  async add(pairs: Pair[]): Promise<Added[]> {
    return JSON.parse(await this.order({ what: 'add', pairs })) as Added[];
  }

  /** One question; throws Trouble with the core's own sentence where it can't be answered. */
  async ask<T>(question: string, given: Record<string, unknown> = {}): Promise<T> {
    const json = await this.order({ what: 'ask', question, given: JSON.stringify(given) });
    const answered = JSON.parse(json) as CoreAnswer;
    if ('sentence' in answered) throw new Trouble(answered.code, answered.sentence);
    return answered.answer as T;
  }

  stop(): void {
    this.worker.terminate();
    this.fail('The core was stopped.');
  }

  private order(order: Order): Promise<string> {
    if (this.state === 'failed') return Promise.reject(new Error('The core is not running.'));
    const id = (this.orders += 1);
    return new Promise((done, failed) => {
      this.waiting.set(id, { done, failed });
      this.worker.postMessage({ ...order, id });
    });
  }

  private hear({ id, json, failure }: Answered): void {
    const waiting = this.waiting.get(id);
    this.waiting.delete(id);
    if (json === undefined) waiting?.failed(new Error(failure));
    else waiting?.done(json);
  }

  private fail(why: string): void {
    this.become('failed');
    for (const { failed } of this.waiting.values()) failed(new Error(why));
    this.waiting.clear();
  }

  private become(state: CoreState): void {
    this.state = state;
    for (const listener of this.listeners) listener(state);
  }
}

/** Start Python in its worker; call it once the screen stands. */
export function startCore({ base = document.baseURI }: { base?: string } = {}): Core {
  return new Core(base);
}

/**
 * Keep the core's book the same as the device's: all that is held, then whatever comes in, from
 * here, from the server or from another tab. Resolves when it is open; calls `changed` after each
 * addition. Returns how to stop.
 */
export async function mirror(core: Core, job: string, changed: () => void): Promise<() => void> {
  let opened = false;
  const early: Pair[] = [];
  const stop = listen((news) => {
    if (news.job !== job || !news.entries) return;
    if (opened) void core.add(news.entries).then(changed, () => undefined);
    else early.push(...news.entries);
  });
  await core.open(job, await heldPairs(job));
  opened = true;
  if (early.length) await core.add(early);
  changed();
  return stop;
}
