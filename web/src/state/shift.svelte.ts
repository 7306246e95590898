/** The shift on the screen: what is held here, what the core makes of it, what the server knows. */

import { askServer, clockBy, jobPath, join, keep, me, meta, momentOf as moment, pairs, releasePhotos, timeBeside } from '../book';
import { askToStay, correct, listen, NotAsTheForm, setMe, setMeta, Sync, Trouble, Unreachable, putAway, told } from '../book';
import type { Kept, Pair, PlainMap } from '../book';
import type { SyncState, Told } from '../book';
import { type Core, type CoreState, mirror, startCore as pythonStarted } from '../python/client';
import assets from '../generated/assets.json';
import type { Judged, NextLoad, Now, PlanRead } from './answers';
import { afternoon, dayBefore, early, today, workingDate } from './days';
import { secretNumbers } from './draws';
import { fieldTitle, form, kindTitle } from './forms';
import { refusal } from './refused';
import { freshSendings, heldSendings, isWritten, type Sendings } from './sendings';
import { onlyOpened, shiftNames } from './shifts';
import { has, language, words } from './words.svelte';

export interface ToKeep {
  /** Of the half-finished form, so that the same form in two tabs is kept once. */
  id?: string;
  kind: string;
  body: Record<string, unknown>;
  place?: Record<string, string>;
  at?: string;
  strikes?: string;
  why?: string;
  saw?: Record<string, unknown> | undefined;
  instrument?: string;
  /** The shift it belongs to, where that isn't the one on the screen: as when its form was opened. */
  shift?: string;
  /** A shift that begins is the one on the screen from now on. */
  begins?: boolean;
}

export interface Envelope {
  id: string;
  by: string;
  strikes?: string;
  kind: string;
  at: string;
  shift?: string;
  body: Record<string, unknown>;
  place?: Record<string, string>;
  instrument?: string;
}

const LONG_MS = 3_600_000;
const EMPTY: NextLoad = { tickets: {}, trucks: [], defaults: {} };

class Shift {
  job = $state('');
  name = $state('');
  person = $state('');
  device = $state('');
  /** The role this device was paired in; that of the person in the plan where there are no accounts. */
  role = $state('');
  now: Now | null = $state(null);
  /** Whether every call is to be had in words, until Now's list is closed again; else the first that wait. */
  everyCall = $state(false);
  plan: PlanRead | null = $state(null);
  next: NextLoad = $state(EMPTY);
  core: CoreState = $state('starting');
  /** The last answers could not be had: what stands on the screen is older. */
  stale = $state(false);
  sync: Pick<SyncState, 'unsent' | 'unsentFiles' | 'reached' | 'lastReached' | 'trouble'> = $state.raw({
    unsent: 0,
    unsentFiles: 0,
    reached: null,
    lastReached: null,
    trouble: null,
  });
  /** What a person must get to see: a copied device, a fork, an office put back from a copy. */
  told: (Told & { id: number; sentence: string })[] = $state.raw([]);
  /** What became of notices on their way out; whether the server sends any. */
  sendings: Sendings = $state.raw({ on: false, sendings: [] });
  said: { words: string; undo?: () => Promise<void> } | null = $state(null);
  /** Grows with every change of the book: whoever asks the core asks again. */
  turn = $state(0);
  version = assets.version;

  get units(): 'metric' | 'us' {
    return this.plan?.job.units ?? 'metric';
  }

  /** The working date, crew, and day or night of the shift on the screen. */
  get parts(): { date: string; crew: string; part: string } {
    const [, date = '', crew = 'a', part = 'day'] = this.name.split('/');
    return { date, crew, part };
  }

  /** Whether the shift on the screen is of another day, so that a new one may have to begin. */
  get past(): boolean {
    if (this.name === '' || this.parts.date === today()) return false;
    const ofTheNight = this.parts.part === 'night' && this.parts.date === dayBefore() && !afternoon();
    return !ofTheNight; // a night's shift goes on after midnight
  }

  /** The moment that the answers are of, where that isn't now: a past shift is shown as it was left. */
  get stoodAt(): string {
    const at = this.now?.at ?? '';
    return this.past && Date.now() - Date.parse(at) > LONG_MS ? at.slice(0, 16).replace('T', ' ') : '';
  }

  /** Whether the one who writes may write entries of a kind. */
  mayWrite(kind: string): boolean {
    return form(kind).writers.includes(this.role || 'inspector');
  }

  /**
   * A time as entries carry it: beside another moment, on its day; else of today, or of yesterday
   * early in a night. In a shift of another day it is of that day, or of the morning after its night.
   */
  moment(clock: string, beside = ''): string {
    const [hours = NaN, minutes = NaN] = clock.split(':').map(Number);
    if (Number.isNaN(hours) || Number.isNaN(minutes)) return '';
    const { date, part } = this.parts;
    if (beside) return timeBeside(beside, clock, part === 'night');
    const runsOn = early() && date === dayBefore();
    const over = this.past && !runsOn;
    const at = over ? new Date(`${date}T12:00`) : new Date();
    at.setHours(hours, minutes, 0, 0);
    const morningAfter = over && part === 'night' && hours < 12;
    const eveningBefore = !over && !afternoon() && hours >= 12;
    at.setDate(at.getDate() + Number(morningAfter) - Number(eveningBefore));
    return moment(at);
  }

  /** Hours and minutes of a moment on the shift's own clock, whatever device wrote it. */
  clock(at: string): string {
    return clockBy(at, this.now?.at ?? moment(new Date()));
  }

  /** The entries of one kind in this shift that stand, oldest first. */
  standing(kind: string): Envelope[] {
    void this.turn;
    const struck = new Set(read.map((one) => one.strikes));
    return read.filter((one) => one.kind === kind && one.shift === this.name && !struck.has(one.id));
  }

  /** What an entry is, in a few words. */
  short(id: string): string {
    const found = read.find((one) => one.id === id);
    if (!found) return words('app.entry');
    const { ticket, text, caption } = found.body;
    const said = ticket ?? text ?? caption ?? found.place?.station ?? '';
    return `${kindTitle(found.kind)} ${String(said).slice(0, 40)}`.trim();
  }

  /** Where an entry says it was. */
  placeOf(id: string): Record<string, string> {
    return read.find((one) => one.id === id)?.place ?? {};
  }

  /** The shift that an entry was written in; empty where this device doesn't have it. */
  shiftOf(id: unknown): string {
    return read.find((one) => one.id === id)?.shift ?? '';
  }

  /** The latest entries that a field may point to, and before them those that it points to already. */
  recent(name: string, chosen: string[] = []): { value: string; title: string }[] {
    const kind = name === 'load' || name === 'notice' || name === 'draw' ? name : '';
    const fits = read.filter((one) => (kind ? one.kind === kind : one.kind !== 'plan'));
    const latest = fits.slice(-12).reverse();
    const before = fits.filter((one) => chosen.includes(one.id) && !latest.includes(one));
    return [...before, ...latest].map((one) => ({
      value: one.id,
      title: `${this.clock(one.at)} ${kind && one.body.ticket ? String(one.body.ticket) : this.short(one.id)}`,
    }));
  }
}

export const shift = new Shift();

/** The name of a shift that begins now: the same on every device without asking. */
export function shiftOfToday(crew: string, part: string): string {
  return `${shift.job}/${workingDate(part)}/${crew}/${part}`;
}

/** So many calls stand on Now until somebody wants more; the others are not put in words. */
export const FIRST_CALLS = 3;

const RENEW_MS = 30_000;
/** Which renewal was begun last, and which one's answer stands. */
const renewals = { begun: 0, stands: 0 };

let read: Envelope[] = [];
let core: Pick<Core, 'ask'> | undefined;
let sync: Sync | undefined;

function notice(pairs: Pair[]): void {
  read = [...read, ...pairs.map(({ text }) => JSON.parse(text) as Envelope)].sort((a, b) =>
    Date.parse(a.at) - Date.parse(b.at),
  );
}

function supervisors(): string[] {
  return (shift.plan?.people ?? []).filter((one) => one.role === 'supervisor').map((one) => one.id);
}

/** The names of the shifts held here, in order; apart from them those that were begun by mistake. */
export function shifts(): { listed: string[]; off: string[] } {
  void shift.turn;
  return shiftNames(read, supervisors());
}

/** Whether the shift on the screen holds nothing but that it was opened, and may be taken off the list. */
export function begunOnly(): boolean {
  void shift.turn;
  return onlyOpened(read, shift.name, shift.person, supervisors()) !== undefined;
}

/** Take the shift on the screen off the list: its opening is struck, and stays readable. */
export async function takeOff(): Promise<void> {
  const opened = onlyOpened(read, shift.name, shift.person, supervisors());
  if (!opened) return;
  const why = words('app.shift.by-mistake');
  if (await record({ kind: 'note', body: { text: why }, strikes: opened, why })) {
    await choose(shifts().listed.at(-1) ?? '');
  }
}

/** Open a job: what is held here at once, then the core, then the server. */
export async function openJob(job: string, person: string): Promise<void> {
  await setMeta('open', { job, person });
  await join(job, person);
  const held = await pairs(job);
  read = [];
  notice(held);
  shift.job = job;
  shift.person = person;
  ({ device: shift.device, role: shift.role } = await me());
  const before = await meta<string>(`shift/${job}`);
  shift.plan = (await meta<PlanRead>(`plan/${job}`)) ?? null;
  const { listed } = shifts();
  shift.name = before && listed.includes(before) ? before : (listed.at(-1) ?? '');
  shift.next = (await meta<NextLoad>(`next/${job}`)) ?? EMPTY;
  sync = new Sync(job);
  shift.sendings = await heldSendings(job);
  sync.subscribe((state) => {
    if (state.lastReached !== shift.sync.lastReached) void renewSendings();
    shift.sync = state;
  });
  listen((news) => {
    if (news.job === job && news.entries) arrived(news.entries);
    if (news.told) void renewTold();
  });
  sync.start();
  void renewTold();
  void askToStay();
}

const SENT_SOON_MS = 2_000;
const SENT_LOOKS = 8;

/** Ask what became of notices; soon again while one of them was not tried yet. */
async function renewSendings(looks = SENT_LOOKS): Promise<void> {
  const written = read.filter((one) => one.kind === 'notice' && isWritten(one.body)).slice(-12);
  if (outside() || !(written.length || !shift.sendings.on)) return;
  const before = shift.sendings;
  shift.sendings = await freshSendings(shift.job, before);
  if (shift.sendings !== before) await renew();
  const { on, sendings } = shift.sendings;
  const tried = (id: string) => sendings.some((one) => one.entry === id && (one.tries > 0 || one.state !== 'waiting'));
  const untried = on && written.some((one) => !tried(one.id));
  if (untried && looks > 0) setTimeout(() => void renewSendings(looks - 1), SENT_SOON_MS);
}

async function renewTold(): Promise<void> {
  shift.told = await told(shift.job);
}

/** Leave the job and the person: the first screen asks again. What isn't sent stays, and is sent then. */
export async function leave(): Promise<void> {
  await setMeta('open', undefined);
  location.assign(location.pathname);
}

/** Somebody else goes on with this device, where it was not paired for one person. */
export async function passOn(person: string): Promise<void> {
  await setMe({ person });
  await setMeta('open', { job: shift.job, person });
  shift.person = person;
  shift.role = shift.plan?.people.find((one) => one.id === person)?.role ?? '';
}

/** Send and fetch at once, as somebody who waits for it asks. */
export async function syncNow(): Promise<void> {
  await sync?.now();
}

/** Put away what was told, once a person has seen it. */
export async function seen(id: number): Promise<void> {
  await putAway(id);
}

export async function opened(): Promise<{ job: string; person: string } | undefined> {
  return meta('open');
}

/** Roles that are not the owner's get no whole book: the server answers them, from what they may know. */
const OUTSIDE = ['contractor', 'plant'];

export function outside(): boolean {
  return OUTSIDE.includes(shift.role);
}

async function askOutside(): Promise<void> {
  core = { ask: (question, given) => askServer('POST', `${jobPath(shift.job)}/ask/${question}`, given) };
  listen((news) => void (news.entries && renew()));
  setInterval(() => void renew(), RENEW_MS);
  shift.core = 'ready';
  await renew();
}

/** Start Python once the screen stands. */
export async function startCore(): Promise<void> {
  if (outside()) return askOutside();
  try {
    const made = pythonStarted();
    await mirror(made, shift.job, () => {
      core = made; // what is asked before the book is open would be answered from none
      void renew();
    });
    setInterval(() => void renew(), RENEW_MS); // ages and what is due go on with the clock
    made.subscribe((state) => (shift.core = state));
  } catch (error) {
    shift.core = 'failed';
    console.error(error);
  }
}

function arrived(fresh: Pair[]): void {
  const before = shifts().listed.at(-1) ?? '';
  notice(fresh);
  // Another's new shift is followed from the last one alone, once that is past: never out of a shift
  // that is going on, nor out of an older one that somebody looks into.
  if (!shift.name || (shift.past && shift.name === before)) shift.name = shifts().listed.at(-1) ?? '';
}

/** Ask again for what every screen shows; also when the language was changed. */
export async function renew(): Promise<void> {
  if (!core || !shift.name) return;
  const mine = (renewals.begun += 1);
  try {
    const now = await ask<Now>('now', shift.everyCall ? {} : { most: FIRST_CALLS });
    if (mine < renewals.stands) return; // a later one was answered before
    renewals.stands = mine;
    shift.now = now;
    shift.plan = await ask<PlanRead>('plan');
    if (!outside()) shift.next = await ask<NextLoad>('next_load');
    shift.stale = false;
  } catch (error) {
    if (error instanceof Unreachable) return; // what stands on the screen stays
    shift.stale = true;
    throw error;
  }
  shift.role ||= shift.plan.people.find((one) => one.id === shift.person)?.role ?? '';
  shift.turn += 1;
  await setMeta(`plan/${shift.job}`, $state.snapshot(shift.plan));
  await setMeta(`next/${shift.job}`, $state.snapshot(shift.next));
}

export async function choose(name: string): Promise<void> {
  shift.name = name;
  shift.now = null; // the other shift's calls don't stand under this one's name
  renewals.stands = renewals.begun + 1; // and what was asked of that one comes too late
  await setMeta(`shift/${shift.job}`, name);
  await renew();
}

/** Calls are of draws too: those near by are found with the owner's numbers, which never leave this device. */
const OF_CALLS = ['now', 'calls', 'tell'];

/** Ask the core about this shift as it stands. */
export async function ask<T>(question: string, given: Record<string, unknown> = {}): Promise<T> {
  if (!core) throw new Error(words('app.not-computed'));
  const at = moment(new Date());
  const { sendings } = shift.sendings;
  const common = { shift: shift.name, at, language: language() };
  const beside = sendings.length && !outside() ? { sendings } : {};
  const held = OF_CALLS.includes(question) && !outside() ? { secrets: await secretNumbers(shift.job) } : {};
  try {
    return await core.ask<T>(question, { ...common, ...beside, ...held, ...given });
  } catch (error) {
    if (error instanceof Trouble || error instanceof Unreachable) throw error;
    console.error(error); // the core's own fault: no sentence of its own is for a person
    throw new Error(words('app.core-wrong'));
  }
}

/** The same, asked again whenever the book changes. */
export function asked<T>(question: string, given: Record<string, unknown> = {}): Promise<T> {
  void shift.turn;
  return ask<T>(question, given);
}

export async function judged(given: Record<string, unknown>): Promise<Judged | null> {
  return core ? ask<Judged>('judge', given) : null;
}

const SOON_MS = 120_000;
const TWICE_MS = 2_000;
let last = { what: '', at: 0 };

/** A gloved finger that presses twice keeps one entry. */
function pressedTwice(given: ToKeep): boolean {
  return whatIs(given) === last.what && Date.now() - last.at < TWICE_MS;
}

function whatIs({ kind, body, place, strikes }: ToKeep): string {
  return JSON.stringify([kind, body, place, strikes]);
}

/** Undoing a correction puts back what stood before; undoing anything else takes it back. */
function undoing(kept: Kept, strikes: string | undefined): () => Promise<void> {
  const before = strikes ? read.find((one) => one.id === strikes) : undefined;
  return async () => {
    shift.said = null;
    if (!before) return withdraw(kept.id);
    const { kind, body, place, at, instrument } = before;
    const whole = { kind, body, at, ...(place ? { place } : {}), ...(instrument ? { instrument } : {}) };
    await record({ ...whole, strikes: kept.id, why: words('app.undone') });
  };
}

/** Keep an entry; it is on the disk when this resolves. Then, without waiting: figures, server. */
export async function record(
  given: ToKeep,
  ontrouble?: (sentence: string) => void,
): Promise<Kept | null> {
  const { id, kind, body, place, at, strikes, why, saw, instrument } = given;
  if (at && Date.parse(at) > Date.now() + SOON_MS) {
    ontrouble?.(words('app.late.future', { at: shift.clock(at) }));
    return null;
  }
  if (pressedTwice(given)) return null;
  const before = last;
  last = { what: whatIs(given), at: Date.now() };
  const missing = form(kind).fields.filter((one) => one.need && body[one.name] === undefined);
  if (missing.length) {
    const names = missing.map((one) => fieldTitle(kind, one.name)).join(', ');
    ontrouble?.(words('app.missing', { names }));
    return null;
  }
  try {
    const photos = form(kind).fields.filter((one) => one.type === 'file' && body[one.name]);
    if (photos.length) await releasePhotos(shift.job, photos.map((one) => String(body[one.name])));
    const draft = {
      ...(id ? { id } : {}),
      job: shift.job,
      ...(strikes ? {} : { shift: given.shift ?? shift.name }),
      kind,
      body: body as PlainMap,
      ...(place ? { place } : {}),
      ...(at ? { at } : {}),
      ...(saw ? { saw: saw as PlainMap } : {}),
      ...(instrument ? { instrument } : {}),
      ...(why && !strikes ? { why } : {}),
    };
    const kept = await (strikes ? correct(strikes, { ...draft, why: why ?? '' }) : keep(draft));
    if (given.begins && given.shift) await choose(given.shift);
    shift.said = {
      words: words('app.kept', { what: shift.short(kept.id) }),
      ...(kind === 'note' && strikes ? {} : { undo: undoing(kept, strikes) }),
    };
    return kept;
  } catch (error) {
    last = before; // nothing was kept: pressing again is meant
    if (!(error instanceof Trouble)) throw error;
    ontrouble?.(error instanceof NotAsTheForm ? refusal(kind, error.faults, shift.units) : spoken(error));
    return null;
  }
}

/** A trouble in the language chosen, where it has the sentence. */
export function spoken({ code, given, sentence }: Pick<Trouble, 'code' | 'given' | 'sentence'>): string {
  return has(code) ? words(code, given) : sentence;
}

/** Take an entry back: it stays readable, struck. */
export async function withdraw(id: string): Promise<void> {
  const why = words('app.undone');
  await record({ kind: 'note', body: { text: why }, strikes: id, why });
}
