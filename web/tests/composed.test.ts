/** The frequent forms: nothing of a kind is lost or doubled, what is remembered, what a reading is read with. */

import { describe, expect, test } from 'vitest';
import forms from '../src/generated/forms.json';
import { applies, arranged, COMPOSED, composedRows, fitting, lacksStation, plainRows } from '../src/state/composed';
import { proposed, proposedStation, readBy, remembered, saysHow, WITH } from '../src/state/composed';

const KINDS = forms.kinds as unknown as Record<string, { place: string[]; fields: { name: string; type: string }[] }>;
/** As the demo's plan has them, and one of a kind that nobody foresaw. */
const TOOLS = [
  { id: 'probe-7', kind: 'probe' },
  { id: 'ir-2', kind: 'infrared' },
  { id: 'rod-3', kind: 'tape' },
  { id: 'gauge-5', kind: 'gauge' },
];
const ODD = { id: 'drone', kind: 'other' };

function ids(tools: { id: string }[]): string[] {
  return tools.map(({ id }) => id);
}

describe.each(Object.keys(COMPOSED))('%s', (kind) => {
  const { fields = [], place = [] } = KINDS[kind] ?? {};
  const all = [...fields.map(({ name }) => name), ...place.map((name) => `place.${name}`)];
  const made = arranged(kind);

  test('shows every field and every part of the place once', () => {
    expect(Object.values(made ?? {}).flat().sort()).toStrictEqual([...all].sort());
  });

  test('shows them once on the screen too, whatever is filled', () => {
    for (const filled of [[], all, [WITH, ...(made?.remembers ?? []), ...(made?.more ?? []).slice(0, 1)]]) {
      for (const fits of [true, false]) {
        const rows = made && composedRows(made, [...all, WITH], filled, fits);
        expect(Object.values(rows ?? {}).flat().sort()).toStrictEqual([...all, WITH].sort());
        expect(rows?.more.filter((name) => filled.includes(name))).toStrictEqual([]);
      }
    }
  });

  test('has only numbers on the pad, and remembers none of them', () => {
    const types = Object.fromEntries(fields.map(({ name, type }) => [name, type]));
    const padded = (made?.numbers ?? []).filter((name) => !name.startsWith('place.'));
    expect(padded.every((name) => ['quantity', 'count'].includes(types[name] ?? ''))).toBe(true);
    const before = Object.fromEntries(fields.map(({ name }) => [name, `a ${name}`]));
    const kept = Object.keys(remembered(kind, before));
    expect(kept.filter((name) => padded.includes(name) || !(name in before))).toStrictEqual([]);
  });
});

test('what seldom changes is taken over; what happened once is not', () => {
  const read = { temp: '148 degC', stage: 'mat', how: 'probe', note: 'windy' };
  expect(remembered('temperature', read)).toStrictEqual({ stage: 'mat', how: 'probe' });
  expect(remembered('paver', { event: 'at' })).toStrictEqual({ event: 'at' });
  expect(remembered('paver', { event: 'stop', reason: 'screed' })).toStrictEqual({});
  expect(remembered('placed', { load: 'id', how: 'weighed' })).toStrictEqual({ how: 'weighed' });
  expect(remembered('note', { text: 'once' })).toStrictEqual({});
});

test('a reason is asked for where the paver stops, and shown where there is one', () => {
  expect(applies('paver', 'reason', { event: 'at' })).toBe(false);
  expect(applies('paver', 'reason', { event: 'stop' })).toBe(true);
  expect(applies('paver', 'reason', { event: 'at', reason: 'screed' })).toBe(true);
  expect(applies('paver', 'event', {})).toBe(true);
});

describe('an instrument', () => {
  test('is offered for what it reads; one of an unknown kind always', () => {
    expect(ids(fitting('temperature', [...TOOLS, ODD], {}))).toStrictEqual(['probe-7', 'ir-2', 'drone']);
    expect(ids(fitting('temperature', TOOLS, { how: 'infrared' }))).toStrictEqual(['ir-2']);
    expect(ids(fitting('density', [...TOOLS, ODD], {}))).toStrictEqual(['gauge-5', 'drone']);
    expect(ids(fitting('loose-depth', TOOLS, {}))).toStrictEqual(['rod-3']);
    expect(fitting('weather', TOOLS, {})).toStrictEqual(TOOLS);
    expect(fitting('note', TOOLS, {})).toStrictEqual([]);
  });

  test('is proposed where only one fits, or where it was used before and still does', () => {
    expect(proposed('loose-depth', TOOLS, {})).toBe('rod-3');
    expect(proposed('loose-depth', [...TOOLS, ODD], {})).toBe('');
    expect(proposed('loose-depth', [...TOOLS, ODD], {}, 'drone')).toBe('drone');
    expect(proposed('temperature', TOOLS, {})).toBe('');
    expect(proposed('temperature', TOOLS, { how: 'infrared' }, 'probe-7')).toBe('ir-2');
    expect(proposed('roller', TOOLS.slice(0, 1), {})).toBe('');
    expect(proposed('roller', TOOLS.slice(0, 1), { temp: '90' })).toBe('probe-7');
    expect(proposed('weather', TOOLS.slice(0, 1), {})).toBe('');
    expect(proposed('density', [], { method: 'gauge' }, 'gauge-5')).toBe('');
  });

  test('says how it is read, where its kind does', () => {
    expect(saysHow('temperature', { id: 'ir-2', kind: 'infrared' })).toBe('infrared');
    expect(saysHow('temperature', ODD)).toBe('');
    expect(saysHow('roller', { id: 'probe-7', kind: 'probe' })).toBe('');
    expect([readBy('density'), readBy('slope'), readBy('note')]).toStrictEqual(['method', '', '']);
  });
});

test('a reading is proposed where the mat has come to, once, in its own strip', () => {
  const mat = { lane: 'E', lift: 'binder', paver: 'P1', to: '7+257' };
  const laid = { values: { stage: 'laydown' }, place: { lane: 'E', lift: 'binder' } };
  expect(proposedStation('temperature', laid, mat, [])).toBe('7+257');
  expect(proposedStation('temperature', { ...laid, values: { stage: 'mat' } }, mat, [])).toBe('');
  expect(proposedStation('temperature', laid, mat, [{ place: { station: '7+257' } }])).toBe('');
  expect(proposedStation('loose-depth', { ...laid, place: { lane: 'W' } }, mat, [{}])).toBe('');
  expect(proposedStation('paver', laid, mat, [])).toBe(''); // it has gone on since
});

test('a place is asked for where a reading says little without one', () => {
  expect(lacksStation('loose-depth', {}, {})).toBe(true);
  expect(lacksStation('loose-depth', {}, { station: '7+257' })).toBe(false);
  expect(lacksStation('temperature', { stage: 'laydown' }, { station: ' ' })).toBe(true);
  expect(lacksStation('temperature', { stage: 'delivery' }, {})).toBe(false);
  expect(lacksStation('roller', {}, {})).toBe(false);
});

test('any other kind goes by its own order', () => {
  expect(arranged('note')).toBeUndefined();
  const rows = plainRows(['text', 'about'], (name) => name === 'text');
  expect([rows.leads, rows.more]).toStrictEqual([['text'], ['about']]);
});
