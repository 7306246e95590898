/** A half-finished form: kept at every touch, so that a call, a reload or a dead battery loses nothing. */

import { dropDraft, loadDraft, newId, random, saveDraft, Trouble } from '../book';

export interface Draft {
  /** Becomes the entry's: kept in two tabs, it is one entry. */
  id: string;
  values: Record<string, string>;
  lists: Record<string, string[]>;
  place: Record<string, string>;
  at: string;
  focus: string;
}

function empty(): Draft {
  return { id: newId(Date.now(), random(10)), values: {}, lists: {}, place: {}, at: '', focus: '' };
}

export class HalfDone {
  now: Draft = $state(empty());
  found = $state(false);
  ready: Promise<void>;
  private last: Promise<unknown> = Promise.resolve();

  constructor(
    private readonly key: string,
    private start: Partial<Draft> = {},
  ) {
    Object.assign(this.now, start);
    this.ready = this.read();
    $effect(() => {
      const hear = (event: StorageEvent) => this.hear(event);
      addEventListener('storage', hear);
      return () => removeEventListener('storage', hear);
    });
  }

  private async read(): Promise<void> {
    const quick = localStorage.getItem(this.name);
    const before = (quick ? JSON.parse(quick) : await loadDraft(this.key)) as Draft | null | undefined;
    if (before) {
      this.now = { ...empty(), ...this.start, ...before };
      this.found = true;
    }
  }

  /** The same form in another tab: what is typed there stands here, and what is done there is done. */
  private hear({ key, newValue }: StorageEvent): void {
    if (key !== this.name || newValue === null) return;
    const there = JSON.parse(newValue) as Draft | null;
    this.now = there ?? { ...empty(), ...this.start };
    this.found = there !== null;
  }

  private get name(): string {
    return `draft/${this.key}`;
  }

  /** Write what is on the screen: at once where a reload finds it, then to the disk, in order. */
  keep(): Promise<unknown> {
    const copy = $state.snapshot(this.now);
    try {
      localStorage.setItem(this.name, JSON.stringify(copy));
    } catch {
      localStorage.removeItem(this.name); // full: what goes to the disk is then the newest
    }
    this.last = this.last.then(() => saveDraft(this.key, copy)).catch((error: unknown) => {
      if (!(error instanceof Trouble)) throw error; // a full disk: a reload still finds it above
    });
    return this.last;
  }

  set(name: string, value: string): void {
    this.now.values[name] = value;
    this.keep();
  }

  list(name: string, values: string[]): void {
    this.now.lists[name] = values;
    this.keep();
  }

  put(name: string, value: string): void {
    this.now.place[name] = value;
    this.keep();
  }

  async clear(start: Partial<Draft> = {}): Promise<void> {
    this.start = start;
    this.now = { ...empty(), ...start };
    this.found = false;
    try {
      localStorage.setItem(this.name, 'null'); // done with at once, even if the page ends before the disk is
    } catch {
      localStorage.removeItem(this.name);
    }
    await this.last;
    await dropDraft(this.key);
    localStorage.removeItem(this.name);
  }
}
