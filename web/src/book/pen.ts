/** The pen: writes entries onto one device's chain; as `matbook.book.pen`. */

import { isMap, type PlainMap } from './canonical';
import { type Entry, type Envelope, FIRST, writtenEntry } from './entry';

/** A device at the point its chain has reached in one job. */
export interface Pen {
  device: string;
  by: string;
  seq: number;
  prev: string;
}

/** What a new entry says, apart from what the pen knows. */
export interface Said {
  id: string;
  job: string;
  shift?: string;
  kind: string;
  v: number;
  body: PlainMap;
  at: string;
  written: string;
  place?: PlainMap;
  instrument?: string;
  strikes?: string;
  why?: string;
  saw?: PlainMap;
}

export function freshPen(device: string, by: string): Pen {
  return { device, by, seq: 0, prev: FIRST };
}

/** Write one entry; empty fields of the envelope are left out. */
export async function write(pen: Pen, said: Said): Promise<Entry> {
  const given = Object.entries(said).filter(([name, value]) => name === 'body' || !isEmpty(value));
  const data = {
    ...Object.fromEntries(given),
    by: pen.by,
    device: pen.device,
    seq: pen.seq + 1,
    prev: pen.prev,
  };
  return writtenEntry(data as unknown as Envelope);
}

function isEmpty(value: unknown): boolean {
  return value === undefined || value === '' || (isMap(value) && Object.keys(value).length === 0);
}
