/**
 * How the frequent forms lie in the hand: which numbers share the pad, what stays as it was the last
 * time, which place they are asked for, and what they are read with. Other kinds go by their own order.
 */

import forms from '../generated/forms.json';
import type { Form } from './forms';

/** A part of the place is called `place.station`; the instrument is no field, and is called so. */
export const WITH = 'instrument of the reading';

interface Composition {
  /** Chosen above the pad. */
  leads?: string[];
  /** On one pad, in the order of the hand. */
  numbers: string[];
  /** Seldom change: taken over from the writer's last of the kind; “event=at”: only that value is. */
  remembers?: string[];
  /** Below the pad. */
  then?: string[];
  /** Read where the mat has come to: always, or when a field says so. */
  follows?: true | [string, ...string[]];
  /** Without a station it is asked about once: always, or when a field says so. */
  asks?: true | [string, ...string[]];
  /** Of these only when a field has that value. */
  only?: Record<string, [string, string]>;
}

const SPOT = ['place.station', 'place.offset'];
const MAT: [string, ...string[]] = ['stage', 'laydown', 'mat', 'breakdown', 'intermediate', 'finish'];

export const COMPOSED: Record<string, Composition | undefined> = {
  paver: {
    leads: ['event', 'reason'],
    numbers: ['place.station', 'pace'],
    remembers: ['event=at'],
    only: { reason: ['event', 'stop'] },
  },
  temperature: {
    numbers: ['temp', ...SPOT],
    remembers: ['stage', 'how'],
    then: ['settled'],
    follows: ['stage', 'laydown'],
    asks: MAT,
  },
  'loose-depth': { numbers: ['depth', ...SPOT], then: ['adjusted'], follows: true, asks: true },
  width: { numbers: ['width', 'place.station'], follows: true },
  slope: {
    numbers: ['slope', 'reading', ...SPOT],
    remembers: ['board', 'planned'],
    follows: true,
    asks: true,
  },
  overlap: { numbers: ['overlap', 'height', 'place.station'], follows: true },
  roller: {
    numbers: ['passes', 'speed', 'temp', 'place.station'],
    remembers: ['roller', 'event=rolling', 'phase', 'mode'],
  },
  density: {
    numbers: ['density', 'percent', ...SPOT],
    remembers: ['basis', 'method', 'purpose', 'reference'],
    asks: true,
  },
  core: { leads: ['core'], numbers: SPOT, remembers: ['purpose'], asks: true },
  placed: { leads: ['to'], numbers: ['mass', 'place.to'], remembers: ['load=', 'how'] },
};

/** Where the mat lies: taken over too. */
export const STRIP = ['road', 'lane', 'lift', 'paver'];

export interface Arranged {
  leads: string[];
  numbers: string[];
  remembers: string[];
  then: string[];
  /** Folded under “More fields”. */
  more: string[];
}

type Values = Record<string, string | undefined>;

function kindOf(kind: string): Form {
  return (forms.kinds as unknown as Record<string, Form>)[kind] as Form;
}

function bare(name: string): string {
  return name.split('=')[0] ?? '';
}

/** Every field and part of the place of a composed kind, once. */
export function arranged(kind: string): Arranged | undefined {
  const made = COMPOSED[kind];
  if (!made) return undefined;
  const { fields, place } = kindOf(kind);
  const strip = STRIP.filter((name) => place.includes(name)).map((name) => `place.${name}`);
  const found = {
    leads: made.leads ?? [],
    numbers: made.numbers,
    remembers: [...(made.remembers ?? []).map(bare), ...strip].filter((name) => !made.leads?.includes(name)),
    then: made.then ?? [],
  };
  const named = Object.values(found).flat();
  const all = [...fields.map((one) => one.name), ...place.map((name) => `place.${name}`)];
  return { ...found, more: all.filter((name) => !named.includes(name)) };
}

/** Which fields stand where on the screen. */
export interface Rows {
  leads: string[];
  numbers: string[];
  /** In one line, which opens. */
  folded: string[];
  then: string[];
  more: string[];
}

/** In the order of the kind: those that lead, and the others under “More fields”. */
export function plainRows(all: string[], leads: (name: string) => boolean): Rows {
  const more = all.filter((name) => !leads(name));
  return { leads: all.filter(leads), numbers: [], folded: [], then: [], more };
}

/**
 * As the hand wants them. What is remembered folds once it is filled, and what is filled is never under
 * “More fields”; an instrument is, where none of the plan fits.
 */
export function composedRows(
  { leads, numbers, remembers, then, more }: Arranged,
  all: string[],
  filled: string[],
  fits: boolean,
): Rows {
  const has = (name: string) => filled.includes(name);
  const there = (name: string) => all.includes(name);
  const strip = remembers.filter((name) => name.startsWith('place.'));
  const chosen = remembers.filter((name) => !strip.includes(name));
  const kept = [...chosen, ...(fits ? [WITH] : []), ...strip].filter(there);
  const rest = [...more, ...(fits ? [] : [WITH])].filter(there);
  return {
    leads,
    numbers,
    folded: kept.filter(has),
    then: [...kept.filter((name) => !has(name)), ...then, ...rest.filter(has)],
    more: rest.filter((name) => !has(name)),
  };
}

/** What the next entry of a kind takes over from the one before. */
export function remembered(kind: string, before: Record<string, unknown>): Record<string, unknown> {
  const pairs = (COMPOSED[kind]?.remembers ?? []).flatMap((rule) => {
    const [name = '', only] = rule.split('=');
    const value = before[name];
    return value === undefined || (only !== undefined && value !== only) ? [] : [[name, value]];
  });
  return Object.fromEntries(pairs) as Record<string, unknown>;
}

/** Whether a field of a composed kind is shown, by what the others say. */
export function applies(kind: string, name: string, values: Values): boolean {
  const rule = COMPOSED[kind]?.only?.[name];
  return !rule || Boolean(values[name]) || values[rule[0]] === rule[1];
}

function holds(rule: true | [string, ...string[]] | undefined, values: Values): boolean {
  if (rule === undefined || rule === true) return rule === true;
  const [name, ...those] = rule;
  return those.includes(values[name] ?? '');
}

/** Whether it is read where the mat has come to. */
export function followsTheMat(kind: string, values: Values): boolean {
  return holds(COMPOSED[kind]?.follows, values);
}

/** Where the mat has come to, for what is read there and was not yet; else nothing. */
export function proposedStation(
  kind: string,
  { values, place }: { values: Values; place: Values },
  mat: Values,
  earlier: { place?: Values }[],
): string {
  const there = mat.to ?? '';
  const onIt = STRIP.every((name) => (place[name] ?? mat[name]) === mat[name]);
  const read = earlier.some((one) => one.place?.station === there);
  return followsTheMat(kind, values) && onIt && !read ? there : '';
}

/** Whether it says little without a station, and has none. */
export function lacksStation(kind: string, values: Values, place: Values): boolean {
  return holds(COMPOSED[kind]?.asks, values) && !place.station?.trim();
}

/**
 * Kinds of instrument that a reading is taken with, by what a field says of how; without that field
 * (a roller's temperature) nothing was read.
 */
const READ_WITH: Record<string, { by?: string; kinds: Record<string, string[]> } | undefined> = {
  temperature: { by: 'how', kinds: { probe: ['probe'], infrared: ['infrared'] } },
  'loose-depth': { kinds: { any: ['tape'] } },
  width: { kinds: { any: ['tape'] } },
  overlap: { kinds: { any: ['tape', 'straightedge'] } },
  slope: { kinds: { any: ['board', 'level'] } },
  straightedge: { kinds: { any: ['straightedge'] } },
  density: { by: 'method', kinds: { gauge: ['gauge'], core: ['scale'] } },
  'gauge-check': { kinds: { any: ['gauge'] } },
  roller: { by: 'temp', kinds: { any: ['probe', 'infrared', 'clock'] } },
  weather: { kinds: {} },
  tack: { kinds: {} },
};
const KNOWN = ['probe', 'infrared', 'gauge', 'scale', 'board', 'level', 'straightedge', 'tape', 'clock'];

interface Tool {
  id: string;
  kind: string;
}

/** The field that says how it is read, if there is one. */
export function readBy(kind: string): string {
  return READ_WITH[kind]?.by ?? '';
}

/**
 * The instruments that fit a reading, none for a kind that names none. Where nothing is known of what fits,
 * all do; one of an unknown kind always does.
 */
export function fitting<T extends Tool>(kind: string, tools: T[], values: Values): T[] {
  const rule = READ_WITH[kind];
  if (!rule) return [];
  const all = Object.values(rule.kinds).flat();
  const fit = rule.kinds[values[rule.by ?? ''] ?? ''] ?? all;
  return tools.filter((one) => !all.length || fit.includes(one.kind) || !KNOWN.includes(one.kind));
}

/** What an instrument says of how it is read: a probe, that it was probed; else nothing. */
export function saysHow(kind: string, tool: Tool): string {
  const { by, kinds = {} } = READ_WITH[kind] ?? {};
  const how = Object.entries(kinds).find(([, those]) => those.includes(tool.kind))?.[0] ?? '';
  return by && how !== 'any' ? how : '';
}

/** Whether a reading of this kind names its instrument. */
export function namesInstrument(kind: string): boolean {
  return READ_WITH[kind] !== undefined;
}

/** The instrument that is proposed: the one before if it fits, else the only one that does. */
export function proposed(kind: string, tools: Tool[], values: Values, before = ''): string {
  const fit = fitting(kind, tools, values);
  if (fit.some((one) => one.id === before)) return before;
  const { by = '', kinds = {} } = READ_WITH[kind] ?? {};
  const told = Object.keys(kinds).length > 0 && (!by || Boolean(values[by]));
  return told && fit.length === 1 ? (fit[0]?.id ?? '') : '';
}
