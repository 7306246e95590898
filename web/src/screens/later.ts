/**
 * The screens that nobody needs to begin the work at the paver, by their places. Each comes when it
 * is asked for, or once the figures stand: a page that stays open over an update then lacks none.
 */

import type { Component } from 'svelte';

/** It is given `id`, of what it is about, and `wide`, and takes of these what it needs. */
type Screen = Component<any>;

export const LATER: Record<string, () => Promise<{ default: Screen }>> = {
  ahead: () => import('./Ahead.svelte'),
  close: () => import('./Closing.svelte'),
  density: () => import('./Density.svelte'),
  devices: () => import('./Devices.svelte'),
  draws: () => import('./Draws.svelte'),
  figure: () => import('./Figure.svelte'),
  guide: () => import('./Guide.svelte'),
  handover: () => import('./Handover.svelte'),
  haul: () => import('./Haul.svelte'),
  joints: () => import('./Joints.svelte'),
  lists: () => import('./Lists.svelte'),
  lot: () => import('./Lot.svelte'),
  lots: () => import('./Lot.svelte'),
  placement: () => import('./Placement.svelte'),
  plan: () => import('./Plan.svelte'),
  risk: () => import('./Risk.svelte'),
  schedules: () => import('./Schedules.svelte'),
  score: () => import('./Score.svelte'),
  settings: () => import('./Settings.svelte'),
  sheet: () => import('./DaySheet.svelte'),
  trucks: () => import('./Trucks.svelte'),
};

/** Have them all at hand; what can't be had now is tried again when it is asked for. */
export function fetchLater(): void {
  for (const fetched of Object.values(LATER)) fetched().catch(() => undefined);
}
