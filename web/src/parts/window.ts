/** The part of a drawing that is seen: an SVG's viewBox, moved and made smaller or larger. */

export interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
}

/** So many times nearer at the most. */
const NEAREST = 16;
/** The cursor stays so far from the edges, as a share of what is seen. */
const MARGIN = 0.15;

export function boxOf(svg: string): Box {
  const [x = 0, y = 0, w = 1, h = 1] = (/viewBox="([^"]*)"/.exec(svg)?.[1] ?? '').split(' ').map(Number);
  return { x, y, w, h };
}

export function written(box: Box): string {
  return [box.x, box.y, box.w, box.h].map((one) => one.toFixed(2)).join(' ');
}

/** Nearer or further around a point that stays where it is seen. */
export function zoomed(box: Box, whole: Box, by: number, x: number, y: number): Box {
  const w = Math.min(whole.w, Math.max(whole.w / NEAREST, box.w / by));
  const scale = w / box.w;
  return inside({ x: x - (x - box.x) * scale, y: y - (y - box.y) * scale, w, h: box.h * scale }, whole);
}

export function moved(box: Box, whole: Box, dx: number, dy: number): Box {
  return inside({ ...box, x: box.x + dx, y: box.y + dy }, whole);
}

/** Moved no further than needed for a point to be well inside. */
export function following(box: Box, whole: Box, x: number, y: number): Box {
  const aside = (at: number, from: number, long: number): number =>
    Math.min(0, at - from - MARGIN * long) + Math.max(0, at - from - (1 - MARGIN) * long);
  return moved(box, whole, aside(x, box.x, box.w), aside(y, box.y, box.h));
}

function inside(box: Box, whole: Box): Box {
  return {
    ...box,
    x: Math.min(Math.max(box.x, whole.x), whole.x + whole.w - box.w),
    y: Math.min(Math.max(box.y, whole.y), whole.y + whole.h - box.h),
  };
}
