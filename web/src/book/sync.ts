/**
 * Push, then pull; never in the way of writing. It runs when the app opens, comes to the front or
 * goes online, after an entry is kept, when the server says that there is more, and by the clock:
 * no one of these can be relied on alone.
 */

import { pull, push, Unreachable } from './api';
import type { Link } from './chains';
import { mindOurClock } from './clock';
import type { Row } from './db';
import { me, signedHead, type SignedHead } from './device';
import { sendFiles } from './files';
import { follow } from './follow';
import { spoken } from './full';
import { beginAgain, type Counts, counts, mindOurName, nextBatch, pullOf, receive, takePage } from './holdings';
import { aloneOrNot } from './locks';
import { announce, listen } from './news';
import { Trouble } from './trouble';

export interface SyncState extends Counts {
  /** Whether the last try got through; null before the first. */
  reached: boolean | null;
  /** When the server last took and gave everything; null if not since the app opened. */
  lastReached: Date | null;
  /** What a person should know or do; the server being out of reach is no trouble. */
  trouble: Trouble | null;
  epoch: string;
  busy: boolean;
}

const PAGE = 1000;
const EVERY_MS = 30_000;
const FIRST_PAUSE_MS = 2_000;
const LONGEST_PAUSE_MS = 60_000;
const SOON_MS = 150;
const MOST_ROUNDS = 5;

export class Sync {
  state: SyncState = {
    entries: 0,
    unsent: 0,
    refused: 0,
    unsentFiles: 0,
    reached: null,
    lastReached: null,
    trouble: null,
    epoch: '',
    busy: false,
  };

  private readonly listeners = new Set<(state: SyncState) => void>();
  private readonly ends: (() => void)[] = [];
  private timer: ReturnType<typeof setTimeout> | undefined;
  private running: Promise<void> | undefined;
  private again = false;
  private failures = 0;
  private wait = 0;

  constructor(readonly job: string) {}

  /** Hear of every change of the state, beginning with what it is; returns how to stop. */
  subscribe(listener: (state: SyncState) => void): () => void {
    this.listeners.add(listener);
    listener(this.state);
    return () => this.listeners.delete(listener);
  }

  start(): void {
    const soon = () => this.in(0);
    const shown = () => document.visibilityState === 'visible' && soon();
    this.on(window, 'online', soon);
    this.on(window, 'focus', soon);
    this.on(document, 'visibilitychange', shown);
    this.ends.push(
      listen((news) => {
        if (news.toSend) this.in(SOON_MS);
        void this.count();
      }),
      follow(this.job, soon),
    );
    void this.count();
    soon();
  }

  stop(): void {
    clearTimeout(this.timer);
    for (const end of this.ends.splice(0)) end();
  }

  /** Sync now; resolves when this round is over, whether the server was there or not. */
  now(): Promise<void> {
    if (this.running) {
      this.again = true;
      return this.running;
    }
    this.running = this.rounds().finally(() => {
      this.running = undefined;
    });
    return this.running;
  }

  private on(target: EventTarget, type: string, handler: () => void): void {
    target.addEventListener(type, handler);
    this.ends.push(() => target.removeEventListener(type, handler));
  }

  private in(ms: number): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.now(), ms);
  }

  private async rounds(): Promise<void> {
    try {
      do {
        this.again = false;
        await this.round();
      } while (this.again && this.failures === 0);
    } finally {
      const next = this.failures ? pause(this.failures, this.wait) : EVERY_MS * (1 + Math.random());
      if (this.ends.length) this.in(next);
    }
  }

  private async round(): Promise<void> {
    this.set({ busy: true });
    try {
      const done = await aloneOrNot('sync', () => spoken(this.exchange()));
      this.failures = 0;
      this.wait = 0;
      if (done) this.set({ reached: true, lastReached: new Date(), trouble: null });
    } catch (error) {
      this.failures += 1;
      const away = error instanceof Unreachable;
      this.wait = away ? error.waitMs : 0;
      this.set({ reached: !away, ...(away ? {} : { trouble: asTrouble(error) }) });
    }
    this.set({ busy: false });
  }

  /** Until the server has what we have, and we what it has: a server put back needs a second push. */
  private async exchange(): Promise<void> {
    for (let round = 0; round < MOST_ROUNDS; round += 1) {
      await this.pushAll();
      const heads = await this.pullAll();
      const who = await me();
      await mindOurName(this.job, who, heads[who.device] ?? []);
      if (!(await nextBatch(this.job)).length) break;
    }
    await mindOurClock(this.job);
    await sendFiles(this.job);
  }

  private async pushAll(): Promise<void> {
    for (;;) {
      const rows = await nextBatch(this.job);
      if (!rows.length) return;
      const sent = rows.map(({ hash, text }) => ({ hash, text }));
      const { receipts } = await push(this.job, sent, await this.signed(rows));
      await receive(receipts);
      announce({ sent: true });
    }
  }

  private async signed(rows: Row[]): Promise<SignedHead | null> {
    const { device } = await me();
    const last = rows.filter((row) => row.device === device).at(-1);
    return last ? signedHead(this.job, last.seq, last.hash) : null;
  }

  private async pullAll(): Promise<Record<string, Link[]>> {
    for (;;) {
      const at = await pullOf(this.job);
      const page = await pull(this.job, at, PAGE);
      if (page.again || (at.epoch && at.epoch !== page.epoch)) {
        await beginAgain(this.job, page.epoch);
        continue;
      }
      const fresh = await takePage(this.job, await me(), page, at);
      this.state.epoch = page.epoch;
      announce({ job: this.job, sent: true, told: true, ...(fresh.length ? { entries: fresh } : {}) });
      if (!page.more) return page.heads;
    }
  }

  private async count(): Promise<void> {
    this.set(await counts(this.job));
  }

  private set(change: Partial<SyncState>): void {
    this.state = { ...this.state, ...change };
    for (const listener of this.listeners) listener(this.state);
  }
}

function asTrouble(error: unknown): Trouble {
  if (error instanceof Trouble) return error;
  throw error;
}

/** Longer after every failure, and never the same for all: the server may be waking up for hundreds. */
function pause(failures: number, asked: number): number {
  const longest = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** (failures - 1));
  return Math.max(asked, longest * (0.5 + Math.random() / 2));
}
