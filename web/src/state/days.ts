/** Which day it is at this place. */

import { momentOf } from '../book';

/** Today's date. */
export function today(): string {
  return momentOf(new Date()).slice(0, 10);
}

/** Yesterday's date. */
export function dayBefore(): string {
  const at = new Date();
  at.setDate(at.getDate() - 1);
  return momentOf(at).slice(0, 10);
}

/** Whether it is past noon: what is timed in the evening is of today then, else of the night before. */
export function afternoon(): boolean {
  return new Date().getHours() >= 12;
}

/** A day's shift may run on after midnight. */
export function early(): boolean {
  return new Date().getHours() < 4;
}

/** The working date of a shift that begins now: a night joined after midnight is the evening's. */
export function workingDate(part: string): string {
  return part === 'night' && new Date().getHours() < 6 ? dayBefore() : today();
}
