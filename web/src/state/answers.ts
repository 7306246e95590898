/** The shapes of what the core answers; see `matbook.desk.open_book`. */

export type State = 'fine' | 'watch' | 'act' | 'note' | 'unknown';

export interface Person {
  id: string;
  name: string;
  role: string;
  role_words?: string;
  firm?: string;
  phone?: string;
}

/** A notice: how soon it was given and answered, and what became of it on its way, in words. */
export interface MatterTold {
  id: string;
  at: string;
  to: string[];
  times: string;
  sent: string[];
  settled: boolean;
  answer: string;
}

export interface Call {
  id: string;
  code: string;
  grade: State;
  head: string;
  line: string;
  small: string;
  tell: Person[];
  told: MatterTold | null;
  entries: string[];
  figure: string | null;
  /** Where in the app it is dealt with, as the parts of an address; empty: nowhere in particular. */
  goes: string[];
  draft: string;
  /** Whether it waits for somebody: it asks for something, and no notice of it is settled. */
  waits: boolean;
}

export interface Answer {
  name: string;
  title: string;
  number: string;
  lines: string[];
  state: State;
  figure: string | null;
  goes: string[];
  entries: string[];
}

export interface Now {
  shift: string;
  job: string;
  units: 'metric' | 'us';
  at: string;
  heading: { title: string; line: string };
  /** As many as were asked for, the most urgent first. */
  calls: Call[];
  /** How many others there are. */
  more: number;
  answers: Answer[];
  closed: boolean;
  sealed: boolean;
}

export interface EntryLine {
  id: string;
  hash: string;
  at: string;
  date: string;
  kind: string;
  title: string;
  line: string;
  by: string;
  device: string;
  state: string;
  state_words: string;
  struck_by: null | { id: string; why: string; by: string; at: string };
  strikes: string;
  written_later: string | null;
  /** The time on its writer's clock, where that isn't the shift's. */
  clock: string | null;
  place: string;
  trouble: string | null;
  can_strike: boolean;
}

export interface EntryWhole extends EntryLine {
  fields: { name: string; title: string; value: string }[];
  chain: EntryLine[];
  /** Photos that are about it. */
  photos: (EntryLine & { file: string })[];
  /** Of a notice that stands. */
  told: MatterTold | null;
  raw: string;
}

export interface FigureInput {
  name: string;
  title: string;
  value: string;
  from: null | { entry?: string; is?: string; plan?: string; figure?: string; set?: string; count?: number };
}

export interface Figure {
  name: string;
  title: string;
  value: string;
  formula: string;
  source: string;
  inputs: FigureInput[];
  range: null | { low: string; high: string; is: string };
  limit: string | null;
  flags: string[];
}

export interface Mat {
  lanes: {
    lane: string;
    lift: string;
    title: string;
    alt: string;
    svg: string;
    rolling: { words: string; figure: string | null }[];
    picture: null | { svg: string; alt: string; caption: string; columns: string[]; rows: string[][] };
    rows: {
      station: string;
      at: string;
      kind: string;
      words: string;
      state: State;
      state_words: string;
      id: string;
    }[];
  }[];
  picture: { words: string };
  orders: string[];
}

export interface Score {
  rows: { how: string; readings: number; inside: number; share: string; range: string; off: string }[];
  readings: { shift: string; at: string; station: string; how: string; read: string; expected: string; state: string; id: string }[];
  notes: string[];
}

export interface HoursAhead {
  title: string;
  line: string;
  columns: { words: string; planned: boolean }[];
  rows: {
    at: string;
    weather: string;
    cool: string | null;
    cells: { words: string; short: string; state: State }[];
    limits: { words: string; state: State }[];
  }[];
  keys: { state: State; words: string }[];
  needs: string[];
  works: string[];
  closure: string[];
  orders: string[];
  notes: string[];
}

export interface LotRow {
  lot: string;
  of: string;
  results: string;
  mean: string;
  within: string;
  factor: string;
  money: string;
  state: string;
}

export interface Lot extends LotRow {
  title: string;
  schedule: string;
  line: string;
  rule: string[];
  rows: {
    sublot: string;
    at: string;
    station: string;
    sample: string;
    value: string;
    counts: boolean;
    state: string;
    id: string;
    figure: string | null;
  }[];
  steps: { text: string; figure: string }[];
  why: string;
  laid: string[];
  doubts: string[];
  ahead: string[];
  sides: string[];
  custody: string[];
  draw: string[];
  notes: string[];
  /** Names of the lots that it is made of, where several are paid together. */
  parts: string[];
}

/** Strips, gauges or cores. */
export interface Tested {
  title: string;
  none: string;
  parts: {
    title: string;
    lines: { text: string; figure: string | null; state: State | '' }[];
    chart: { svg: string; alt: string; caption: string } | null;
    tables: {
      title: string;
      columns: string[];
      rows: { text: string; figure: string | null; entry: string | null }[][];
    }[];
    notes: string[];
  }[];
  notes: string[];
  cautions: string[];
}

export interface DrawRow {
  lot: string;
  of: string;
  state: string;
}

/** A lot's draw: only what is near, or was told, says where it is. */
export interface Draw {
  lot: string;
  title: string;
  rules: string[];
  steps: { words: string; id: string }[];
  order: string[];
  /** Step -> why it can't be taken now; empty if it can. */
  can: Record<'committed' | 'contributed' | 'told' | 'revealed', string>;
  commitment: string;
  holds: 'yes' | 'no' | 'wrong';
  holding: string;
  places: {
    number: string;
    state: 'near' | 'passed' | 'untested' | 'tested' | 'blocked';
    words: string;
    id: string;
    body: Record<string, string>;
    place: Record<string, string>;
  }[];
  to_come: string;
  agrees: string[];
  fits: string;
}

export interface ScheduleRow {
  name: string;
  title: string;
  source: string;
  edition: string;
  standing: string;
  from: string;
  lots: string;
}

export interface Schedule extends ScheduleRow {
  about: string[];
  results: number;
  chart: { svg: string; words: string } | null;
  measure: string;
  rows: { measured: string; factor: string }[];
}

/** A risk curve as far as it is worked out; `points` go back with the question for more. */
export interface Risk {
  title: string;
  line: string;
  standing: string;
  done: number;
  of: number;
  finished: boolean;
  points: Record<string, number | null>[];
  charts: { svg: string; words: string; caption: string }[];
  rows: Record<'mean' | 'within' | 'expected' | 'range' | 'full' | 'rejected', string>[];
  risks: string[];
  notes: string[];
}

/** What lies at one point of the picture. */
export interface MatAt {
  head: string;
  station: string;
  at: string;
  x: number;
  y: number;
  lines: string[];
  entries: { id: string; words: string }[];
}

export interface NextLoad {
  tickets: Record<string, string>;
  trucks: string[];
  defaults: Partial<Record<string, string>>;
}

export interface Judged {
  faults: { field: string; given: string; allowed: string }[];
  unusual: { field: string; given: string; allowed: string }[];
  says: { field: string; words: string; state: State }[];
}

export interface Named {
  id: string;
  name: string;
}

export interface PlanRead {
  toml: string;
  job: { id: string; name: string; units: 'metric' | 'us' };
  people: Person[];
  instruments: (Named & { kind: string; serial: string; calibrated: string; due: string })[];
  roads: Named[];
  lanes: Named[];
  lifts: Named[];
  mixes: Named[];
  plants: Named[];
  pavers: Named[];
  rollers: Named[];
  trucks: Named[];
  limits: {
    path: string;
    words: string;
    number: string;
    unit: string;
    grade: string;
    clause: string;
    source: string;
  }[];
  changes: {
    at: string;
    path: string;
    title: string;
    old: string;
    new: string;
    /** Both as people write them. */
    was: string;
    is: string;
    why: string;
    agreed: string;
    by: string;
  }[];
  changeable: { path: string; title: string; value: string; shown: string; sign: string }[];
  troubles: string[];
}

export interface Closing {
  open: string[];
  devices: { device: string; by: string; last_at: string; entries: number }[];
  missing: { device: string; numbers: string }[];
  silent: string[];
  opened: boolean;
  closed: boolean;
  sealed: boolean;
}

export interface Guide {
  title: string;
  several: string;
  causes: string;
  first: string;
  tell: string;
  groups: {
    of: 'load' | 'mat';
    title: string;
    signs: {
      id: string;
      name: string;
      looks: string;
      causes: { where: string; words: string }[];
      first: string;
      tell: string[];
      svg: string;
    }[];
  }[];
}

export interface Joints {
  title: string;
  none: string;
  joints: {
    title: string;
    place: Record<string, string>;
    steps: { step: string; title: string; state: string; state_words: string; at: string; entry: string }[];
    gap: string;
    edges: string[];
  }[];
  needs_title: string;
  needs: { name: string; title: string; value: string }[];
  goes_on: string[];
  edges_title: string;
  edges: { entry: string; words: string }[];
  tonight_title: string;
  tonight: {
    what: string;
    state: string;
    state_words: string;
    where: string;
    detail: string;
    told: string;
    entry: string;
    /** Where a word on it is written; of what isn't one of the markings null. */
    place: Record<string, string> | null;
    /** The call to tell somebody of. */
    call: string;
    /** The kind that is written where it is missing. */
    write: string;
  }[];
  tonight_none: string;
  note: string;
}

export interface Lists {
  title: string;
  none: string;
  lists: {
    id: string;
    name: string;
    line: string;
    due: boolean;
    state: string;
    source: string;
    lines: {
      item: string;
      why: string;
      hold: string;
      state: string;
      state_words: string;
      at: string;
      entry: string;
      /** What was noted with it, and who released a hold point. */
      said: string;
    }[];
  }[];
}

export interface HandedOver {
  text: string;
  matters: { id: string; at: string; to: string[]; text: string; answer: string }[];
}

export interface DaySheet {
  title: string;
  line: string;
  job_note: string;
  note: string;
  summary_title: string;
  summary: { title: string; lines: string[] }[];
  sections: { title: string; columns: string[]; rows: string[][] }[];
}

export interface Placement {
  title: string;
  none: string;
  note: string;
  parts: {
    name: string;
    title: string;
    lines: string[];
    limits: string[];
    numbers: { name: string; title: string; value: string; range: string }[];
    rows: {
      at: string;
      station: string;
      value: string;
      words: string;
      state: State;
      figure: string;
      entry: string;
    }[];
  }[];
}

export interface Haul {
  title: string;
  closes: string;
  none: string;
  note: string;
  pavers: {
    paver: string;
    name: string;
    figure: string | null;
    coming: string[];
    legs: { leg: string; takes: string; scatter: string; seen: number }[];
    bunched: string;
    minutes: { in: string; words: string; share: number }[];
    helps: string[];
    last: string[];
    last_figure: string | null;
  }[];
}

export interface TrucksAhead {
  title: string;
  line: string;
  trucks: number;
  needs: string[];
  heads: string[];
  rows: {
    trucks: number;
    free: string;
    held: string;
    waiting: string;
    state: State;
    needed: boolean;
  }[];
  cost: string[];
  notes: string[];
}
