/** A list that stands still while a finger is near: nothing moves under it. */

/** So long after the last touch the list keeps its order. */
export const STILL_MS = 1_000;

/**
 * What is shown while the list stands still: what stood, where it stood, each as it is now. What is new
 * waits, and what is gone stays until the list may move again.
 */
export function asItStood<T extends { id: string }>(stood: readonly T[], now: readonly T[]): T[] {
  const found = new Map(now.map((one) => [one.id, one]));
  return stood.map((one) => found.get(one.id) ?? one);
}

/** Tells when a finger comes near, and when it has been away for a while. */
export class Touches {
  private timer: ReturnType<typeof setTimeout> | undefined;
  private down = 0;

  constructor(private readonly onchange: (near: boolean) => void) {}

  /** Any event of a finger: it goes down, moves over the page, or leaves it. */
  hear({ type }: { type: string }): void {
    if (type === 'pointerdown') this.down += 1;
    if (type === 'pointerup' || type === 'pointercancel') this.down = Math.max(0, this.down - 1);
    this.onchange(true);
    clearTimeout(this.timer);
    if (this.down === 0) this.timer = setTimeout(() => this.onchange(false), STILL_MS);
  }

  end(): void {
    clearTimeout(this.timer);
  }
}

const HEARD = ['pointerdown', 'pointerup', 'pointercancel', 'scroll'];

/** Hear every touch of the page; returns how to stop. */
export function hearTouches(onchange: (near: boolean) => void): () => void {
  const touches = new Touches(onchange);
  const hear = (event: Event) => touches.hear(event);
  for (const name of HEARD) addEventListener(name, hear, { capture: true, passive: true });
  return () => {
    touches.end();
    for (const name of HEARD) removeEventListener(name, hear, { capture: true });
  };
}
