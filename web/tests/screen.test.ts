/** What the screens decide by themselves: times, units, a list under a finger, which shifts there are. */

import { afterEach, describe, expect, test, vi } from 'vitest';
import { clockBy, timeBeside } from '../src/book/moment';
import { withUnit } from '../src/parts/pad';
import { onlyOpened, shiftNames, standing, type Written } from '../src/state/shifts';
import { asItStood, STILL_MS, Touches } from '../src/state/steady';

test.each([
  ['2026-06-17T10:20:00-03:00', '10:20'],
  ['2026-06-17T13:20:00+00:00', '10:20'],
  ['2026-06-17T00:10:00+10:00', '11:10'],
  ['2026-06-17T09:20:00-04:00', '09:20'], // the shift's clock, put back in the night
])('%s is %s on a shift three hours behind UTC', (at, shown) => {
  expect(clockBy(at, '2026-06-17T12:00:00-03:00')).toBe(shown);
});

test.each([
  ['2026-06-17T07:42:10-03:00', '08:40', false, '2026-06-17T08:40:00-03:00'],
  ['2026-06-17T07:42:00.250+10:00', '19:50', false, '2026-06-17T19:50:00+10:00'], // a slip by half a day
  ['2026-07-01T00:05:00-04:00', '23:55', true, '2026-06-30T23:55:00-04:00'],
  ['2026-06-30T23:50:00-04:00', '00:10', true, '2026-07-01T00:10:00-04:00'],
  ['2026-06-30T23:50:00-04:00', '22:10', true, '2026-06-30T22:10:00-04:00'],
])('beside %s, %s (in a night: %s) is %s', (beside, clock, night, found) => {
  expect(timeBeside(beside, clock, night)).toBe(found);
});

test.each([
  ['1.2', '1.2 m'],
  ['-0,85', '-0.85 m'],
  ['.5', '.5 m'],
  ['3.', '3 m'],
  [' 2 ', '2 m'],
  ['120 cm', '120 cm'],
  ['left', 'left'],
  ['', ''],
])('an offset typed as “%s” is “%s”', (typed, whole) => {
  expect(withUnit(typed, 'm')).toBe(whole);
});

describe('a list under a finger', () => {
  afterEach(() => vi.useRealTimers());

  test('keeps its order, each as it is now; what is new waits', () => {
    const [a, b, c] = [{ id: 'a', n: 1 }, { id: 'b', n: 1 }, { id: 'c', n: 1 }];
    const now = [c, { id: 'b', n: 2 }];
    expect(asItStood([a, b], now)).toStrictEqual([a, { id: 'b', n: 2 }]);
    expect(asItStood([], now)).toStrictEqual([]);
  });

  test('may move again a while after the last finger has left', () => {
    vi.useFakeTimers();
    const heard: boolean[] = [];
    const touches = new Touches((near) => heard.push(near));
    const hear = (...types: string[]) => types.forEach((type) => touches.hear({ type }));
    hear('pointerdown');
    vi.advanceTimersByTime(10 * STILL_MS);
    expect(heard).toStrictEqual([true]);
    hear('pointerup');
    vi.advanceTimersByTime(STILL_MS - 1);
    hear('scroll');
    vi.advanceTimersByTime(STILL_MS - 1);
    expect(heard).not.toContain(false);
    vi.advanceTimersByTime(1);
    expect(heard.at(-1)).toBe(false);
    hear('pointerdown', 'pointerdown', 'pointercancel', 'pointerup', 'pointerup');
    vi.advanceTimersByTime(STILL_MS);
    expect(heard.at(-1)).toBe(false);
    hear('pointerdown', 'pointerup');
    touches.end();
    vi.advanceTimersByTime(STILL_MS);
    expect(heard.at(-1)).toBe(true);
  });
});

describe('a shift begun by mistake', () => {
  const day = 'harrow/2026-06-17/a/day';
  const wrong = 'harrow/2026-06-17/b/day';
  const entries: Written[] = [
    { id: '1', by: 'ines', kind: 'shift-open', shift: day },
    { id: '2', by: 'ines', kind: 'load', shift: day },
    { id: '3', by: 'ines', kind: 'shift-open', shift: wrong },
  ];
  const off = (by: string): Written => ({ id: '4', by, kind: 'note', shift: wrong, strikes: '3' });

  test('can be taken off by whoever began it, or a supervisor', () => {
    expect(onlyOpened(entries, wrong, 'ines', ['greta'])).toBe('3');
    expect(onlyOpened(entries, wrong, 'greta', ['greta'])).toBe('3');
    expect(onlyOpened(entries, wrong, 'bo', ['greta'])).toBeUndefined();
    expect(onlyOpened(entries, day, 'ines', [])).toBeUndefined();
    expect(onlyOpened(entries, 'harrow/2026-06-18/a/day', 'ines', [])).toBeUndefined();
  });

  test('leaves the list once its beginning is struck, and only by somebody who may', () => {
    expect(shiftNames(entries, [])).toStrictEqual({ listed: [day, wrong], off: [] });
    for (const by of ['ines', 'greta']) {
      expect(shiftNames([...entries, off(by)], ['greta'])).toStrictEqual({ listed: [day], off: [wrong] });
    }
    expect(shiftNames([...entries, off('bo')], ['greta']).listed).toContain(wrong);
  });

  test('is on it again once something is written in it', () => {
    const again = [...entries, off('ines'), { id: '5', by: 'ines', kind: 'load', shift: wrong }];
    expect(shiftNames(again, []).listed).toContain(wrong);
    expect(standing(again, []).map(({ id }) => id)).toStrictEqual(['1', '2', '5']);
  });
});
