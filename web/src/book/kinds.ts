/** The forms of entries, and what is wrong with a body; as `matbook.book.kinds`. */

import forms from '../generated/kinds.json';
import { isMap } from './canonical';
import { instant, MOMENT_ALLOWED } from './moment';
import { Trouble } from './trouble';
import { compare, measureOf, parseQuantity, type Quantity } from './units';

export interface Field {
  type: 'text' | 'choice' | 'count' | 'quantity' | 'moment' | 'entry' | 'person' | 'file' | 'map';
  need: boolean;
  many: boolean;
  most: number;
  of: string | string[];
  low: string | number | null;
  high: string | number | null;
  usual: [string, string] | null;
}

export interface Kind {
  v: number;
  group: string;
  writers: string[];
  place: string[];
  fields: Record<string, Field>;
}

export interface Fault {
  field: string;
  given: string;
  allowed: string;
}

export const KINDS = forms.kinds as unknown as Record<string, Kind | undefined>;
const EXAMPLES = forms.examples as Record<string, string | undefined>;
const PLACE_TEXTS: readonly string[] = forms.place;
const LONGEST_PLACE = 64;

export function kindNamed(name: string): Kind {
  const kind = Object.hasOwn(KINDS, name) ? KINDS[name] : undefined;
  if (kind) return kind;
  throw new Trouble('not-found', `There is no kind of entry called “${name.slice(0, 60)}”.`);
}

/** Everything wrong with a body, field by field; nothing if it can be kept as it is. */
export function faults(name: string, body: Record<string, unknown>): Fault[] {
  const { fields } = kindNamed(name);
  const missing = Object.keys(fields).filter((field) => fields[field]?.need && !Object.hasOwn(body, field));
  return [
    ...missing.map((field) => ({ field, given: '', allowed: 'it must be given' })),
    ...Object.entries(body).flatMap(([field, value]) => {
      const form = Object.hasOwn(fields, field) ? fields[field] : undefined;
      return form
        ? fieldFaults(field, form, value)
        : [{ field, given: shown(value), allowed: `the kind ${name} has no such field` }];
    }),
  ];
}

/** Values outside their usual range: to be asked about once, then kept as written. */
export function unusual(name: string, body: Record<string, unknown>): Fault[] {
  const { fields } = kindNamed(name);
  return Object.entries(body).flatMap(([field, value]) => {
    const form = Object.hasOwn(fields, field) ? fields[field] : undefined;
    if (!form?.usual || fieldFaults(field, form, value).length) return [];
    const [low, high] = form.usual;
    if (within(parseQuantity(value as string), low, high)) return [];
    return [{ field, given: shown(value), allowed: `usually ${low} to ${high}` }];
  });
}

/** Everything wrong with where an entry says it was. */
export function placeFaults(place: Record<string, unknown>): Fault[] {
  return Object.entries(place).flatMap(([name, value]) => {
    const allowed = placeAllowed(name, value);
    return allowed ? [{ field: `place.${name}`, given: shown(value), allowed }] : [];
  });
}

function placeAllowed(name: string, value: unknown): string {
  if (PLACE_TEXTS.includes(name)) {
    return isText(value, LONGEST_PLACE) ? '' : `it must be text of 1 to ${LONGEST_PLACE} characters`;
  }
  if (name === 'offset') {
    const length = typeof value === 'string' && measured(value)?.measure === 'length';
    return length ? '' : 'it must be a length with its unit, such as 1.2 m';
  }
  if (name === 'fix') return isMap(value) ? '' : 'it must be an object';
  return 'a place has no such field';
}

function fieldFaults(name: string, field: Field, value: unknown): Fault[] {
  if (field.many && !Array.isArray(value)) {
    return [{ field: name, given: shown(value), allowed: 'it must be a list' }];
  }
  const items: unknown[] = field.many ? (value as unknown[]) : [value];
  return items.flatMap((item) => {
    const allowed = CHECKS[field.type](field, item);
    return allowed ? [{ field: name, given: shown(item), allowed }] : [];
  });
}

// Each check gives what is allowed, or nothing when the value is.

const CHECKS: Record<Field['type'], (field: Field, value: unknown) => string> = {
  text: ({ most }, value) => (isText(value, most) ? '' : `it must be text of 1 to ${most} characters`),
  choice: ({ of }, value) => (of.includes(value as string) && typeof value === 'string' ? '' : choices(of)),
  count: ({ low, high }, value) => {
    const [least, most] = [Number(low ?? 0), Number(high ?? 0)];
    const good = Number.isSafeInteger(value) && least <= Number(value) && Number(value) <= most;
    return good ? '' : `it must be a whole number from ${least} to ${most}`;
  },
  quantity,
  moment: (_, value) => (Number.isNaN(instant(shown(value))) ? MOMENT_ALLOWED : ''),
  entry: (_, value) => (isText(value, 64) ? '' : "it must be an entry's id"),
  person: (_, value) => (isText(value, 100) ? '' : "it must be a person's id in the plan, or a name"),
  file: (_, value) =>
    typeof value === 'string' && /^[0-9a-f]{64}$/.test(value)
      ? ''
      : 'it must be the SHA-256 of the original, 64 hexadecimal digits',
  map: (_, value) => (isMap(value) ? '' : 'it must be an object'),
};

function choices(of: string | string[]): string {
  return `it must be one of ${(of as string[]).join(', ')}`;
}

function quantity({ of, low, high }: Field, value: unknown): string {
  const measure = of as string;
  const found = typeof value === 'string' && value.includes(' ') ? measured(value) : undefined;
  if (!found) return withUnit(measure);
  const written = `${found.quantity.digits} ${found.quantity.unit}`;
  if (written !== value) return `it must be written ${written}`;
  if (measure === 'any') return '';
  if (found.measure !== measure) return withUnit(measure);
  const good = low === null || within(found.quantity, String(low), String(high));
  return good ? '' : `it must be from ${low} to ${high}`;
}

function withUnit(measure: string): string {
  const what = measure === 'any' ? 'an amount' : `a ${measure}`;
  return `it must be ${what} with its unit, such as ${EXAMPLES[measure] ?? '12.5 t'}`;
}

function measured(text: string): { quantity: Quantity; measure: string } | undefined {
  try {
    const quantity = parseQuantity(text);
    return { quantity, measure: measureOf(quantity.unit) };
  } catch (error) {
    if (error instanceof Trouble) return undefined;
    throw error;
  }
}

function within(quantity: Quantity, low: string, high: string): boolean {
  return compare(parseQuantity(low), quantity) <= 0 && compare(quantity, parseQuantity(high)) <= 0;
}

/** Text of so many characters, counted as Python counts them. */
function isText(value: unknown, most: number): boolean {
  return typeof value === 'string' && value !== '' && (value.length <= most || [...value].length <= most);
}

function shown(value: unknown): string {
  return typeof value === 'string' ? value : JSON.stringify(value);
}
