/** What the plan knows by name, and what is chosen in words. */

import type { Named, PlanRead } from './answers';
import { WITH } from './composed';
import { choiceTitle, field, fieldTitle } from './forms';
import { shift } from './shift.svelte';

/** What the plan has of what a field names: lanes, rollers, mixes; nothing of most. */
export function known(plan: PlanRead, name: string): Named[] {
  const held: Record<string, Named[]> = {
    road: plan.roads,
    lane: plan.lanes,
    lift: plan.lifts,
    paver: plan.pavers,
    plant: plan.plants,
    mix: plan.mixes,
    roller: plan.rollers,
    truck: plan.trucks.map(({ id }) => ({ id, name: id })), // as it stands on the door
    instrument: plan.instruments,
  };
  return held[name] ?? [];
}

function called(name: string, id: string): string {
  return (shift.plan && known(shift.plan, name).find((one) => one.id === id)?.name) ?? id;
}

/** What stands in a field, as one would say it without the field; a part of the place is `place.lane`. */
export function chosenTitle(kind: string, name: string, value: string): string {
  if (name === WITH) return called('instrument', value);
  if (name.startsWith('place.')) return called(name.slice('place.'.length), value);
  const one = field(kind, name);
  if (one.type === 'choice') return choiceTitle(kind, name, value);
  if (one.type === 'entry') return shift.short(value);
  if (one.type !== 'quantity') return called(name, value);
  return `${fieldTitle(kind, name)} ${value} ${value.includes(' ') ? '' : (one[shift.units]?.sign ?? '')}`.trim();
}
