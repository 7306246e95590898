/** Which shifts there are: one begun by mistake is taken off the list, and can be read all the same. */

export interface Written {
  id: string;
  by: string;
  kind: string;
  shift?: string;
  strikes?: string;
}

/** Only its writer, or a supervisor, strikes an entry. */
function mayStrike(by: string, target: Written, supervisors: string[]): boolean {
  return by === target.by || supervisors.includes(by);
}

/** What stands: it isn't struck, and is no note that only takes another entry back. */
export function standing<T extends Written>(entries: T[], supervisors: string[]): T[] {
  const named = new Map(entries.map((one) => [one.id, one]));
  const struck = new Set<string>();
  for (const { by, strikes } of entries) {
    const target = strikes ? named.get(strikes) : undefined;
    if (target && mayStrike(by, target, supervisors)) struck.add(target.id);
  }
  return entries.filter((one) => !struck.has(one.id) && !(one.strikes && one.kind === 'note'));
}

/** The shifts in which something stands, and those in which nothing does any more, in order. */
export function shiftNames(entries: Written[], supervisors: string[]): { listed: string[]; off: string[] } {
  const named = (found: Written[]) => [...new Set(found.map((one) => one.shift ?? ''))].filter(Boolean).sort();
  const listed = named(standing(entries, supervisors));
  return { listed, off: named(entries).filter((name) => !listed.includes(name)) };
}

/** The entry to strike where a shift holds nothing but that it was opened, by somebody whose it is. */
export function onlyOpened(
  entries: Written[],
  name: string,
  person: string,
  supervisors: string[],
): string | undefined {
  const held = standing(entries, supervisors).filter((one) => one.shift === name);
  const [opened] = held;
  if (held.length !== 1 || opened?.kind !== 'shift-open') return undefined;
  return mayStrike(person, opened, supervisors) ? opened.id : undefined;
}
