/** A half-finished form: kept at every touch, so that a call, a reload or a dead battery loses nothing. */

import { dropDraft, loadDraft, saveDraft } from '../book';

export interface Draft {
  values: Record<string, string>;
  lists: Record<string, string[]>;
  place: Record<string, string>;
  at: string;
  focus: string;
}

function empty(): Draft {
  return { values: {}, lists: {}, place: {}, at: '', focus: '' };
}

export class HalfDone {
  now: Draft = $state(empty());
  found = $state(false);
  ready: Promise<void>;
  private last: Promise<unknown> = Promise.resolve();

  constructor(
    private readonly key: string,
    start: Partial<Draft> = {},
  ) {
    Object.assign(this.now, start);
    this.ready = this.read(start);
  }

  private async read(start: Partial<Draft>): Promise<void> {
    const before = (await loadDraft(this.key)) as Draft | undefined;
    if (before) {
      this.now = { ...empty(), ...start, ...before };
      this.found = true;
    }
  }

  /** Write what is on the screen to the disk; in order, never two at once. */
  keep(): void {
    const copy = $state.snapshot(this.now);
    this.last = this.last.catch(() => undefined).then(() => saveDraft(this.key, copy));
  }

  set(name: string, value: string): void {
    this.now.values[name] = value;
    this.keep();
  }

  put(name: string, value: string): void {
    this.now.place[name] = value;
    this.keep();
  }

  async clear(start: Partial<Draft> = {}): Promise<void> {
    this.now = { ...empty(), ...start };
    this.found = false;
    await this.last.catch(() => undefined);
    await dropDraft(this.key);
  }
}
