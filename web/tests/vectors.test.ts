/** The language-neutral cases in `vectors/` hold here too; `tools/run_vectors.py` runs them in Python. */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { canonical, type PlainMap } from '../src/book/canonical';
import { readEntry, type Pair } from '../src/book/entry';
import { newId } from '../src/book/ids';
import { type Fault, faults, placeFaults, unusual } from '../src/book/kinds';
import { instant } from '../src/book/moment';
import { type Pen, type Said, write } from '../src/book/pen';
import { sha256Hex } from '../src/book/sha256';
import { EntryRefused, Trouble } from '../src/book/trouble';
import { say } from '../src/book/words';
import english from '../src/generated/words-en.json';

/** Whatever a case is called with; each call below knows its own. */
type Given = Record<string, any>;

interface Case {
  function: string;
  given: Given;
  expect: unknown;
}

const pair = ({ hash, text }: Pair) => ({ hash, text });
const listed = (found: Fault[]) => found.map(({ field, given, allowed }) => [field, given, allowed]);

const CALLS: Record<string, (given: Given) => unknown> = {
  'entry.canonical': ({ value }) => canonical(value as PlainMap),
  'entry.hash_of': ({ text }) => sha256Hex(text),
  'entry.instant': ({ text }) => {
    const found = instant(text);
    if (Number.isNaN(found)) throw new EntryRefused('not a moment');
    return String(found);
  },
  'entry.read_entry': async ({ text, expected }) => pair(await readEntry(text, expected)),
  'pen.new_id': ({ clock_ms, random }) => newId(clock_ms, Buffer.from(random, 'hex')),
  'pen.write': async ({ pen, said }) => pair(await write(pen as Pen, said as Said)),
  'kinds.faults': ({ kind, body }) => listed(faults(kind, body)),
  'kinds.unusual': ({ kind, body }) => listed(unusual(kind, body)),
  'kinds.place_faults': ({ place }) => listed(placeFaults(place)),
  'words.say': ({ code, arguments: given }) => say(english, code, given),
};

async function outcome(one: Case): Promise<unknown> {
  try {
    return await CALLS[one.function]?.(one.given);
  } catch (error) {
    if (error instanceof Trouble) return { error: error.code };
    throw error;
  }
}

// A long test of Python's names a folder with other cases, made at random.
const folder = process.env.VECTORS ?? join(import.meta.dirname, '../../vectors');
const names = process.env.VECTORS ? ['random'] : ['entries', 'kinds', 'words'];

describe.each(names)('%s.json', (name) => {
  const file = join(folder, `${name}.json`);
  const cases = JSON.parse(readFileSync(file, 'utf8')) as Case[];

  test('holds cases', () => {
    expect(cases.length).toBeGreaterThan(10);
  });

  test.each(cases.map((one) => [JSON.stringify(one).slice(0, 160), one] as const))('%s', async (_, one) => {
    expect(await outcome(one)).toStrictEqual(one.expect);
  });
});
