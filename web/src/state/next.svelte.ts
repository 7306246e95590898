/** What the next load begins with: its ticket and truck by what the core gave, and by what is written since. */

import type { NextLoad } from './answers';
import { shift } from './shift.svelte';

export function nextLoad(plant = '', ticket = '', truck = ''): NextLoad {
  const next = $state.snapshot(shift.next);
  const digits = /\d+$/.exec(ticket)?.[0];
  if (digits && plant && next.tickets[plant] === ticket) {
    const after = String(Number(digits) + 1).padStart(digits.length, '0');
    next.tickets[plant] = ticket.slice(0, -digits.length) + after;
  }
  if (truck) next.trucks = [truck, ...next.trucks.filter((one) => one !== truck)];
  return next;
}
