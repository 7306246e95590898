/**
 * Measured values as they are written: digits kept, one spelling of each unit, exact factors.
 * The table is the engine's own (`matbook.engine.units`), written by `tools/write_web.py`.
 */

import table from '../generated/units.json';
import { Refused } from './trouble';

/** What a unit measures; the SI value of n/d is (a*n + b*d) / (c*d). */
interface Unit {
  measure: string;
  line: [string, string, string];
}

export interface Quantity {
  digits: string;
  unit: string;
}

const UNITS = table.units as unknown as Record<string, Unit | undefined>;
const SPELLED = table.spelled as Record<string, string | undefined>;
const WRITTEN = /^([-+\u2212]?)([0-9]*)(?:([.,])([0-9]+))?\s*([^]*)$/;
const MORE_NUMBER = /^(?:[.,/'\u2019_0-9]|[eE][-+]?[0-9])/;
const MOST_DIGITS = 15;
const MOST_TEXT = 64;

/** Read a measured value with its unit as a person writes it, keeping its digits; throws Refused. */
export function parseQuantity(text: string): Quantity {
  const [, sign = '', whole = '', mark, part = '', spelled = ''] = WRITTEN.exec(text.trim()) ?? [];
  const unit = own(SPELLED, spelled) ?? spelled;
  const plain = 'write plain digits with at most one decimal mark, such as 1386.5';
  if (!(whole || part) || [...text].length > MOST_TEXT) {
    throw new Refused('value', text, 'it must be a number with its unit, such as 22.40 t');
  }
  if (whole.length + part.length > MOST_DIGITS) {
    throw new Refused('value', text, `a number has at most ${MOST_DIGITS} digits`);
  }
  if (!own(UNITS, unit) && MORE_NUMBER.test(unit)) throw new Refused('value', text, plain);
  if (mark === ',' && part.length === 3 && whole.length > 0 && whole.length <= 3 && whole[0] !== '0') {
    throw new Refused('value', text, `write ${whole}${part} or ${whole}.${part}, whichever it is`);
  }
  if (!unit) throw new Refused('value', text, 'it must say its unit, such as 22.40 t');
  measureOf(unit);
  const digits = part ? `${whole || '0'}.${part}` : whole;
  return { digits: sign === '' || sign === '+' ? digits : `-${digits}`, unit };
}

/** What a unit measures; throws Refused. */
export function measureOf(unit: string): string {
  const found = own(UNITS, unit);
  if (found) return found.measure;
  const allowed = 'it must be a unit known here, such as t, ton, lb, m, ft, in, degC, degF or %';
  throw new Refused('unit', unit, allowed, 'unknown-unit');
}

/** Below 0 if the first amount is less than the second, 0 if they are the same, else above. */
export function compare(first: Quantity, second: Quantity): number {
  const [p, q] = exact(first);
  const [r, s] = exact(second);
  const difference = p * s - r * q;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** The SI value as a ratio of whole numbers. */
function exact({ digits, unit }: Quantity): [bigint, bigint] {
  const [whole = '', part = ''] = digits.split('.');
  const scale = 10n ** BigInt(part.length);
  const [a, b, c] = (own(UNITS, unit)?.line ?? ['1', '0', '1']).map(BigInt) as [bigint, bigint, bigint];
  return [a * BigInt(whole + part) + b * scale, c * scale];
}

function own<T>(table: Record<string, T>, name: string): T | undefined {
  return Object.hasOwn(table, name) ? table[name] : undefined;
}
