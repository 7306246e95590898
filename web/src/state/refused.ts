/** What the form doesn't take, in the words of its fields: it needs no Python. */

import type { Fault } from '../book';
import { fieldTitle, form, type FormField, type Units } from './forms';
import { words } from './words.svelte';

/** Each fault of a kind's entry as a sentence: the field, what was given, what is taken. */
export function refusal(kind: string, faults: Fault[], units: Units): string {
  return faults.map((one) => sentence(kind, one, units)).join(' ');
}

function sentence(kind: string, { field: name, given }: Fault, units: Units): string {
  const field = form(kind).fields.find((one) => one.name === name);
  const measure = field?.[units];
  const shown = measure ? given.replace(` ${measure.unit}`, ` ${measure.sign}`) : given;
  const title = fieldTitle(kind, name.replace('place.', ''));
  return words('app.refused', { field: title, given: shown.slice(0, 60), allowed: allowed(field, units) });
}

function allowed(field: FormField | undefined, units: Units): string {
  if (!field) return words('fault.place');
  const measure = field[units];
  if (field.type === 'quantity' && measure && measure.low !== null) {
    const [low, high] = [measure.low, measure.high].map((end) => `${end} ${measure.sign}`) as [string, string];
    return words('fault.quantity', { units: measure.sign, low, high });
  }
  if (field.type === 'quantity') return words('fault.amount', { units: measure?.sign ?? '' });
  return words(`fault.${field.type}`, { low: field.low ?? 0, high: field.high ?? 0, most: field.most });
}
