/** The data layer without a screen: tests call it through the page's console. Not shipped. */

import * as book from '../src/book';
import english from '../src/generated/words-en.json';
import { mirror, startCore } from '../src/python/client';

const harness = { ...book, mirror, startCore };

declare global {
  interface Window {
    matbook: typeof harness;
  }
}

book.speakBy(english);
window.matbook = harness;
