/** Sending what the server lacks and fetching what we lack. Nothing here is ever waited for. */

import type { Pair } from './entry';
import { entriesOf, meta, open, setMeta, unsent, type Held } from './db';
import { deviceName, hold, renameDevice } from './keep';

const BATCH = 200;
const EVERY_MS = 15_000;

interface Head {
  seq: number;
  hash: string;
}

interface Pushed {
  epoch: string;
  heads: Record<string, Head[]>;
  receipts: { hash: string; state: 'kept' | 'had' | 'refused'; reason: string }[];
}

interface Pulled {
  epoch: string;
  heads: Record<string, Head[]>;
  cursor: number;
  more: boolean;
  again: boolean;
  entries: { cursor: number; hash: string; text?: string }[];
}

interface Reached {
  epoch: string;
  cursor: number;
  hash: string;
}

export interface Status {
  unsent: number;
  reached: Date | null;
  /** Code of a sentence; empty if nothing is wrong. */
  trouble: string;
}

export class Sync {
  status: Status = { unsent: 0, reached: null, trouble: '' };
  private running: Promise<void> | undefined;
  private again = false;

  constructor(
    private readonly job: string,
    private readonly onstatus: (status: Status) => void,
    private readonly onarrived: (pairs: Pair[]) => void,
  ) {}

  start(): void {
    const now = (): void => void this.now();
    addEventListener('focus', now);
    addEventListener('online', now);
    setInterval(now, EVERY_MS);
    now();
  }

  /** Send and fetch once; a call while that is going on has it go round once more. */
  now(): Promise<void> {
    if (this.running) {
      this.again = true;
      return this.running;
    }
    this.running = this.round().finally(() => {
      this.running = undefined;
      if (this.again) {
        this.again = false;
        void this.now();
      }
    });
    return this.running;
  }

  private async round(): Promise<void> {
    try {
      await this.tell();
      await this.push();
      await this.pull();
      this.status = { ...this.status, reached: new Date(), trouble: '' };
    } catch {
      this.status = { ...this.status, trouble: 'app.sync.unreached' };
    }
    await this.tell();
  }

  private async tell(): Promise<void> {
    this.status = { ...this.status, unsent: await unsent(this.job) };
    this.onstatus(this.status);
  }

  private async push(): Promise<void> {
    const db = await open();
    for (;;) {
      const unsent = await db.getAllFromIndex('entries', 'waiting', [this.job, 0]);
      const waiting = unsent
        .filter((held) => !held.refused)
        .sort((a, b) => a.seq - b.seq)
        .slice(0, BATCH);
      if (waiting.length === 0) return;
      const batch = waiting.map(({ hash, text }) => ({ hash, text }));
      const told = await this.ask<Pushed>('entries', { entries: batch });
      const tx = db.transaction('entries', 'readwrite', { durability: 'strict' });
      for (const receipt of told.receipts) {
        const held = await tx.store.get(receipt.hash);
        if (!held) continue;
        const taken = receipt.state !== 'refused';
        await tx.store.put({ ...held, sent: taken ? 1 : 0, refused: taken ? '' : receipt.reason });
      }
      await tx.done;
    }
  }

  private async pull(): Promise<void> {
    for (;;) {
      const at = (await meta<Reached>(`reached/${this.job}`)) ?? { epoch: '', cursor: 0, hash: '' };
      const query = `entries?after=${at.cursor}&limit=1000&behind=${at.hash}`;
      const got = await this.ask<Pulled>(query);
      if (got.again || (at.epoch && got.epoch !== at.epoch)) {
        await setMeta(`reached/${this.job}`, { epoch: '', cursor: 0, hash: '' });
        continue;
      }
      const pairs = got.entries.flatMap(({ hash, text }) => (text ? [{ hash, text }] : []));
      const fresh = await hold(pairs, 1);
      const last = got.entries.at(-1);
      await setMeta(`reached/${this.job}`, {
        epoch: got.epoch,
        cursor: last?.cursor ?? at.cursor,
        hash: last?.hash ?? at.hash,
      });
      if (fresh.length) this.onarrived(fresh);
      if (!got.more) {
        await this.compare(got.heads);
        return;
      }
    }
  }

  /** A server put back from an older copy lacks what we hold; a head we don't know is a copy of us. */
  private async compare(heads: Record<string, Head[]>): Promise<void> {
    const held = await entriesOf(this.job);
    const own = await deviceName();
    const ours = new Set(held.map((one) => one.hash));
    if ((heads[own] ?? []).some((head) => !ours.has(head.hash))) {
      await renameDevice();
      this.status = { ...this.status, trouble: 'app.sync.copied' };
    }
    const lacking = held.filter((one) => one.sent && one.seq > highest(heads[one.device]));
    if (lacking.length === 0) return;
    await this.unsend(lacking);
    this.again = true;
  }

  private async unsend(lacking: Held[]): Promise<void> {
    const db = await open();
    const tx = db.transaction('entries', 'readwrite', { durability: 'strict' });
    for (const one of lacking) await tx.store.put({ ...one, sent: 0 });
    await tx.done;
  }

  private async ask<T>(path: string, body?: unknown): Promise<T> {
    const address = `/api/jobs/${encodeURIComponent(this.job)}/${path}`;
    const answer = await fetch(address, {
      cache: 'no-store',
      ...(body === undefined
        ? {}
        : {
            method: 'POST',
            headers: { 'content-type': 'application/json' },
            body: JSON.stringify(body),
          }),
    });
    if (!answer.ok) throw new Error(`${answer.status}`);
    return (await answer.json()) as T;
  }
}

function highest(heads: Head[] | undefined): number {
  return Math.max(0, ...(heads ?? []).map((head) => head.seq));
}
