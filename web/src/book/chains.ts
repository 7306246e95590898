/** Each device's chain, as far as it can be judged by looking at it. */

export interface Link {
  seq: number;
  hash: string;
}

/** Numbers that one device gave to more than one entry: it was cloned, or put back from a copy. */
export function forksOf(links: Link[]): number[] {
  const seen = new Map<number, string>();
  const forks = new Set<number>();
  for (const { seq, hash } of links) {
    if ((seen.get(seq) ?? hash) !== hash) forks.add(seq);
    seen.set(seq, hash);
  }
  return [...forks].sort((a, b) => a - b);
}
