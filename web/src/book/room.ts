/** Room on this device: the browser is asked not to clear the book away, where it can be asked. */

export interface Room {
  used: number;
  allowed: number;
  /** Whether the browser promised to keep the book; null where it makes no such promises. */
  stays: boolean | null;
}

export async function askToStay(): Promise<boolean | null> {
  const storage = (navigator as { storage?: Partial<StorageManager> }).storage;
  return storage?.persist ? storage.persist() : null;
}

export async function room(): Promise<Room> {
  const storage = (navigator as { storage?: Partial<StorageManager> }).storage;
  const { usage = 0, quota = 0 } = (await storage?.estimate?.()) ?? {};
  const stays = storage?.persisted ? await storage.persisted() : null;
  return { used: usage, allowed: quota, stays };
}
