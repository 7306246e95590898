/** Asking the core: answers come when they come, and nothing that is written waits for them. */

import type { Pair } from '../book/entry';
import type { Asked } from './worker';
import assets from '../generated/assets.json';

export class Core {
  private readonly worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  private readonly waiting = new Map<number, { done: (text: string) => void; failed: (e: Error) => void }>();
  private count = 0;

  constructor() {
    this.worker.onmessage = (event: MessageEvent<{ id: number; answer?: string; trouble?: string }>) => {
      const { id, answer, trouble } = event.data;
      const asked = this.waiting.get(id);
      this.waiting.delete(id);
      if (answer === undefined) asked?.failed(new Error(trouble ?? ''));
      else asked?.done(answer);
    };
  }

  async start(): Promise<void> {
    await this.send({ what: 'start', base: document.baseURI, core: assets.core });
  }

  async open(job: string, pairs: Pair[]): Promise<void> {
    await this.send({ what: 'open', job, pairs });
  }

  async add(pairs: Pair[]): Promise<void> {
    await this.send({ what: 'add', pairs });
  }

  async ask<T>(question: string, given: Record<string, unknown>): Promise<T> {
    const text = await this.send({ what: 'ask', question, given: JSON.stringify(given) });
    const told = JSON.parse(text) as { answer: T; refused?: string };
    if (told.refused !== undefined) throw new Error(told.refused);
    return told.answer;
  }

  private send(asked: Omit<Asked, 'id'>): Promise<string> {
    const id = ++this.count;
    return new Promise((done, failed) => {
      this.waiting.set(id, { done, failed });
      this.worker.postMessage({ id, ...asked });
    });
  }
}
