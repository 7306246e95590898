/** The book's forms, as the app fills them in: fields with the job's own unit and range. */

import { unusual } from '../book';
import forms from '../generated/forms.json';
import { has, words } from './words.svelte';

export interface Measure {
  unit: string;
  sign: string;
  low: number | null;
  high: number | null;
  usual: [number, number] | null;
}

export interface FormField {
  name: string;
  type: 'text' | 'choice' | 'count' | 'quantity' | 'moment' | 'entry' | 'person' | 'file' | 'map';
  need: boolean;
  many: boolean;
  most: number;
  of: string[];
  low: number | null;
  high: number | null;
  metric: Measure | null;
  us: Measure | null;
}

export interface Form {
  name: string;
  v: number;
  group: string;
  writers: string[];
  place: string[];
  /** The hazards at which it is written. */
  cautions: string[];
  fields: FormField[];
}

export type Units = 'metric' | 'us';

export const FORMS = forms.kinds as unknown as Record<string, Form>;

/** In reach of the thumb; the rest by scrolling. */
export const COMMONEST: string[] = forms.commonest;

export function form(kind: string): Form {
  const found = FORMS[kind];
  if (!found) throw new Error(`no form ${kind}`);
  return found;
}

export function field(kind: string, name: string): FormField {
  const found = form(kind).fields.find((one) => one.name === name);
  if (!found) throw new Error(`no field ${kind}.${name}`);
  return found;
}

function titled(said: string): string {
  return said.slice(0, 1).toUpperCase() + said.slice(1);
}

/** What a kind of entry is called. */
export function kindTitle(kind: string): string {
  return titled(words(`kind.${kind}`));
}

/** What a field is called: its own name in this kind, else the one that all share. */
export function fieldTitle(kind: string, name: string): string {
  const own = `title.${kind}.${name}`;
  return titled(has(own) ? words(own) : words(`title.${name}`));
}

/** What a part of the place is called: not as a field of this kind that has the same name. */
export function placeTitle(kind: string, name: string): string {
  return fieldTitle(form(kind).fields.some((one) => one.name === name) ? '' : kind, name);
}

/** What a choice is called: its own name in this field, else the one that all share. */
export function choiceTitle(kind: string, name: string, choice: string): string {
  const own = `choice.${kind}.${name}.${choice}`;
  return titled(has(own) ? words(own) : words(`choice.${choice}`));
}

/** Short cautions at the hazards of a kind, ending with what rules them all. */
export function cautions(kind: string): string[] {
  const found = form(kind).cautions.map((hazard) => words(`caution.${hazard}`));
  return found.length ? [...found, words('caution.defer')] : [];
}

/** What a person is asked about once, before it is kept as written; it needs no Python. */
export function odd(
  kind: string,
  body: Record<string, unknown>,
  units: Units,
): { field: string; words: string }[] {
  return unusual(kind, body).map(({ field: name, given }) => {
    const measure = field(kind, name)[units];
    const [low = '', high = ''] = (measure?.usual ?? []).map((end) => `${end} ${measure?.sign}`);
    const shown = measure ? given.replace(` ${measure.unit}`, ` ${measure.sign}`) : given;
    return { field: name, words: `${shown}; ${words('unusual.range', { low, high })}` };
  });
}

/** Kinds that the app writes from places of their own, and so not from the list. */
export const ELSEWHERE = ['plan', 'seal', 'shift-close', 'handover', 'reply', 'draw', 'signature'];
