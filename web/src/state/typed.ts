/** From what stands in a form to what is kept, and back: digits, units, lists, places. */

import { settled, withUnit, type Range } from '../parts/pad';
import type { FormField, Measure, Units } from './forms';

/** A length beside the line: a bare number has the unit that the job measures lengths in. */
const OFFSET: Record<Units, Measure> = {
  metric: { unit: 'm', sign: 'm', low: -1, high: null, usual: null },
  us: { unit: 'ft', sign: 'ft', low: -1, high: null, usual: null },
};

/** A part of the place as a field of its own. */
export function placeField(name: string): FormField {
  const offset = name === 'offset';
  const any = { need: false, many: false, most: 64, of: [], low: null, high: null };
  const measures = offset ? OFFSET : { metric: null, us: null };
  return { name, type: offset ? 'quantity' : 'text', ...any, ...measures };
}

/** Whether a part of the place is a station along the line. */
export function isStation(name: string): boolean {
  return ['station', 'from', 'to'].includes(name);
}

/** What the pad knows of a field. */
export function rangeOf(one: FormField, units: Units): Range {
  const measure = one[units];
  return {
    high: measure?.high ?? one.high ?? undefined,
    decimals: one.type !== 'count',
    point: measure?.unit === 't' || measure?.unit === 'ton',
    negative: (measure?.low ?? one.low ?? 0) < 0,
  };
}

/** What is kept of a field; nothing of one that says nothing. */
export function valueOf(one: FormField, typed: string, list: string[], units: Units): unknown {
  const unit = one.type === 'quantity' ? (one[units]?.unit ?? '') : '';
  if (one.many) {
    const whole = list.map((each) => (unit && /^-?[0-9.]+$/.test(each) ? `${each} ${unit}` : each));
    return whole.length ? whole : undefined;
  }
  if (!typed) return undefined;
  if (one.type === 'count') return Number(typed);
  if (one.type === 'quantity' && !typed.includes(' ')) {
    const digits = settled(typed);
    return digits ? `${digits} ${unit}`.trim() : undefined;
  }
  return typed;
}

/** A quantity's digits where it has the unit that the pad writes; as it was typed where not. */
function bare(measure: Measure | null, written: string): string {
  const [digits = '', unit = ''] = written.split(' ');
  return unit === measure?.unit ? digits : written;
}

/** What was kept of an entry, as its form shows it. */
export function shownOf(
  fields: FormField[],
  body: Record<string, unknown>,
  units: Units,
): { values: Record<string, string>; lists: Record<string, string[]> } {
  const values: Record<string, string> = {};
  const lists: Record<string, string[]> = {};
  for (const [name, value] of Object.entries(body)) {
    const one = fields.find((field) => field.name === name);
    if (one?.many) lists[name] = value as string[];
    else values[name] = one?.type === 'quantity' ? bare(one[units], String(value)) : String(value);
  }
  return { values, lists };
}

/** A place as its form shows it. */
export function shownPlace(place: Record<string, string>, units: Units): Record<string, string> {
  return place.offset ? { ...place, offset: bare(OFFSET[units], place.offset) } : { ...place };
}

/** A place as it is kept: of the parts that the kind has, those that say something. */
export function placeOf(parts: string[], place: Record<string, string>, units: Units): Record<string, string> {
  const all = Object.entries(place).map(([name, given]) => {
    const typed = name === 'offset' ? withUnit(given, OFFSET[units].unit) : given.trim();
    return [name, typed] as const;
  });
  return Object.fromEntries(all.filter(([name, given]) => given && parts.includes(name)));
}
