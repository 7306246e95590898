/** One at a time over all tabs, where the browser can; the book's own checks hold without it too. */

export async function alone<T>(name: string, work: () => Promise<T>): Promise<T> {
  const { locks } = navigator as { locks?: LockManager };
  return locks ? ((await locks.request(`matbook-${name}`, work)) as T) : work();
}

/** Like `alone`, but leaves it if another tab is at it; tells whether the work was done. */
export async function aloneOrNot(name: string, work: () => Promise<void>): Promise<boolean> {
  const { locks } = navigator as { locks?: LockManager };
  if (!locks) {
    await work();
    return true;
  }
  const done = await locks.request(`matbook-${name}`, { ifAvailable: true }, async (lock) => {
    if (lock) await work();
    return lock !== null;
  });
  return done as boolean;
}
