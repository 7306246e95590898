/** What the browser says when it can't keep something, as a sentence. */

import { trouble } from './told';

/** The same promise; a full disk and a lost book become sentences. */
export async function spoken<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (error) {
    throw inWords(error);
  }
}

function inWords(error: unknown): unknown {
  if (!(error instanceof DOMException)) return error;
  if (error.name === 'QuotaExceededError') return trouble('app.storage-full');
  return trouble('app.not-kept', { why: error.message || error.name });
}
