/** Entries that Python wrote are read, and written again, to the last character. */

import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { LARGEST_TEXT, type Pair, readEntry } from '../src/book/entry';
import { faults, placeFaults } from '../src/book/kinds';
import { momentOf, instant } from '../src/book/moment';
import { type Said, write } from '../src/book/pen';

function demo(name: string): Pair[] {
  const file = new URL(`../../src/matbook/demo/${name}/entries.jsonl`, import.meta.url);
  const lines = readFileSync(file, 'utf8').trimEnd().split('\n');
  return lines.map((line) => JSON.parse(line) as Pair);
}

test.each(['harrow', 'kestrel'])('every entry of the invented job %s reads and writes alike', async (name) => {
  const pairs = demo(name);
  expect(pairs.length).toBeGreaterThan(250);
  for (const { hash, text } of pairs) {
    const { data } = await readEntry(text, hash);
    const { by, device, seq, prev, ...said } = data;
    const again = await write({ by, device, prev, seq: seq - 1 }, said as Said);
    expect(again).toMatchObject({ hash, text });
    expect([...faults(data.kind, data.body), ...placeFaults(data.place ?? {})]).toStrictEqual([]);
  }
});

test('an entry that is too long is refused', async () => {
  await expect(readEntry('x'.repeat(LARGEST_TEXT + 1))).rejects.toThrow(/262145 bytes; at most 262144/);
});

test('the clock of the device is written with its offset', () => {
  const now = new Date(2026, 4, 12, 9, 41, 7, 500);
  const text = momentOf(now);
  expect(text).toMatch(/^2026-05-12T09:41:07[+-]\d\d:\d\d$/);
  expect(instant(text)).toBe(Math.floor(now.getTime() / 1000) * 1_000_000);
});
