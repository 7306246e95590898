import { describe, expect, it } from 'vitest';
import { boxOf, following, moved, written, zoomed } from '../src/parts/window';

const WHOLE = { x: 0, y: 0, w: 360, h: 720 };

describe('the part of a drawing that is seen', () => {
  it('begins with the whole', () => {
    expect(boxOf('<svg xmlns="x" viewBox="0 0 360 720" role="img">')).toEqual(WHOLE);
    expect(written(WHOLE)).toBe('0.00 0.00 360.00 720.00');
  });

  it('comes nearer around a point that stays where it is', () => {
    const near = zoomed(WHOLE, WHOLE, 2, 90, 180);
    expect(near).toEqual({ x: 45, y: 90, w: 180, h: 360 });
    expect((90 - near.x) / near.w).toBe(90 / 360);
  });

  it('comes no nearer than sixteen times, and goes no further than the whole', () => {
    expect(zoomed(WHOLE, WHOLE, 1000, 0, 0).w).toBe(22.5);
    expect(zoomed({ x: 300, y: 600, w: 60, h: 120 }, WHOLE, 0.01, 330, 660)).toEqual(WHOLE);
  });

  it('never leaves the drawing', () => {
    const box = { x: 100, y: 100, w: 180, h: 360 };
    expect(moved(box, WHOLE, -500, 5)).toEqual({ ...box, x: 0, y: 105 });
    expect(moved(box, WHOLE, 500, 900)).toEqual({ ...box, x: 180, y: 360 });
  });

  it('follows a point only where it would be lost', () => {
    const box = { x: 100, y: 100, w: 100, h: 200 };
    expect(following(box, WHOLE, 150, 200)).toEqual(box);
    expect(following(box, WHOLE, 200, 200)).toEqual({ ...box, x: 115 });
    expect(following(box, WHOLE, 150, 100)).toEqual({ ...box, y: 70 });
  });
});
