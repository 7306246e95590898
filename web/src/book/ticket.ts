/**
 * What the code on a ticket says, by plain rules of our own: proposals for the fields of a load, and
 * the rest as it stands. Nothing is guessed where two readings are possible, and nothing is kept here:
 * a person sees each proposal and takes it over, or leaves it.
 */

import { faults } from './kinds';

/** What the job knows: the units that its pads write, and what its plan calls by name. */
export interface Known {
  mass: string;
  temperature: string;
  plants: { id: string; name: string }[];
  mixes: { id: string; name: string }[];
}

export interface Proposed {
  field: string;
  /** As the field of a load holds it: “22.40 t”. */
  value: string;
  /** The ticket names no unit, and the job's own was put in. */
  assumed: boolean;
}

export interface ReadTicket {
  proposed: Proposed[];
  /** What no rule reads, as it stands. */
  rest: string[];
}

/** A piece of the text: with a label, or bare. */
interface Piece {
  label: string;
  value: string;
  whole: string;
}

const LABELS: Record<string, string> = {
  // in the languages that the app speaks
  ...named('ticket', 'ticket', 'tkt', 'docket', 'tiquete', 'boleto', 'bon'),
  ...named('truck', 'truck', 'lorry', 'vehicle', 'camión', 'vehículo', 'camion', 'véhicule'),
  ...named('gross', 'gross', 'bruto', 'brut'),
  ...named('tare', 'tare', 'tara'),
  ...named('net', 'net', 'neto'),
  ...named('temp', 'temp', 'temperature', 'temperatura', 'température'),
  ...named('mix', 'mix', 'mezcla', 'formule'),
  ...named('plant', 'plant', 'planta', 'centrale'),
  ...named('unit', 'unit', 'units', 'unidad', 'unité'),
};
const FILLERS = new Set(
  'no nr num number id weight wt mass code numero masa peso poids masse de du'.split(' '),
);
const MASSES = ['gross', 'tare', 'net'];
const UNITS: Record<string, string> = {
  ...{ t: 't', mt: 't', tonne: 't', tonnes: 't', kg: 'kg', kgs: 'kg', lb: 'lb', lbs: 'lb' },
  ...{ c: 'degC', degc: 'degC', f: 'degF', degf: 'degF' },
};
const NAME = /^[\p{L}\d](?:[\p{L}\d ./-]{0,22}[\p{L}\d])?$/u;
const BREAK = /[\n\r\t;|&\x1d]+|,\s*(?=\p{L})/u;
const LABEL = `(?:${Object.keys(LABELS).join('|')})(?!\\p{L})`;
const BEGINS = new RegExp(`^\\s*${LABEL}`, 'iu');
const BEFORE_LABEL = new RegExp(`[\\s,]+(?=${LABEL})`, 'giu');
const AMOUNT = /^(\d[\d.,'’\s]*?)\s*(?:([°\p{L}]+)\.?)?$/u;

function named(field: string, ...labels: string[]): Record<string, string> {
  return Object.fromEntries(labels.flatMap((label) => [[label, field], [bare(label), field]]));
}

/** Read the text of a ticket's code, or of several codes on one ticket, each on its lines. */
export function readTicket(text: string, known: Known): ReadTicket {
  const pieces = piecesOf(text);
  const unit = unitOf(pieces.find(({ label }) => fieldOf(label)?.field === 'unit')?.value ?? '', known);
  const found = new Map<string, Proposed>();
  const left: Piece[] = [];
  for (const piece of pieces) {
    const one = proposal(piece, unit, known);
    const before = one && found.get(one.field);
    if (one && !before) found.set(one.field, one);
    else if (!one || before?.value !== one.value) left.push(piece);
  }
  alone(left, found, 'net', (piece) => amount('net', piece.value, '', known));
  alone(left, found, 'ticket', ({ value }) => (/\s/.test(value) ? null : nameIn('ticket', value)));
  const said = left.filter(({ label }) => fieldOf(label)?.field !== 'unit' || !unit);
  return { proposed: [...found.values()], rest: said.map(({ whole }) => whole) };
}

/** Where just one bare piece may be a field that has no label, it is proposed as that. */
function alone(
  left: Piece[],
  found: Map<string, Proposed>,
  field: string,
  read: (piece: Piece) => Proposed | null,
): void {
  if (found.has(field)) return;
  const fits = left.filter((piece) => !piece.label && read(piece)?.assumed === false);
  const one = fits.length === 1 && fits[0] ? read(fits[0]) : null;
  if (!one || !fits[0]) return;
  found.set(field, one);
  left.splice(left.indexOf(fits[0]), 1);
}

// Pieces

function piecesOf(text: string): Piece[] {
  const listed = flat(text);
  if (listed) return listed;
  return text.split(/[\n\r]+/).flatMap(lineOf);
}

/** The fields of a flat JSON object. */
function flat(text: string): Piece[] | null {
  if (!text.trimStart().startsWith('{')) return null;
  try {
    const read = JSON.parse(text) as Record<string, unknown>;
    return Object.entries(read).map(([label, value]) => {
      const plain = typeof value === 'string' || typeof value === 'number' ? String(value) : '';
      return { label, value: plain, whole: `${label}: ${plain || JSON.stringify(value)}` };
    });
  } catch {
    return null;
  }
}

/** A line, or what an address asks for; the address itself is only shown. */
function lineOf(line: string): Piece[] {
  const [, address, asked] = /^\s*(https?:\/\/[^?\s]*)\?(\S+)\s*$/i.exec(line) ?? [];
  if (address && asked) {
    const pairs = [...new URLSearchParams(asked)].map(([label, value]) => pieceOf(`${label}=${value}`));
    return [{ label: '', value: '', whole: address }, ...pairs];
  }
  if (/^\s*https?:/i.test(line)) return [{ label: '', value: '', whole: line.trim() }];
  return line
    .split(BREAK)
    .flatMap((part) => (BEGINS.test(part) ? part.trim().split(BEFORE_LABEL) : [part]))
    .map((part) => part.trim())
    .filter(Boolean)
    .map(pieceOf);
}

/** “net = 22.40 t”, “Net: 22.40 t” or “Net weight 22.40 t”; without a label it is bare. */
function pieceOf(whole: string): Piece {
  const [, label = '', value = ''] = /^([^=:]{1,40})[=:](.*)$/u.exec(whole) ?? [];
  if (label) return { label: label.trim(), value: value.trim(), whole };
  const words = whole.split(/\s+/);
  for (let count = Math.min(4, words.length - 1); count > 0; count -= 1) {
    const head = words.slice(0, count).join(' ');
    if (!/\d/.test(head) && fieldOf(head)) return { label: head, value: words.slice(count).join(' '), whole };
  }
  return { label: '', value: whole, whole };
}

/** The field that a label names, and the unit it may name too: “NET_KG”. */
function fieldOf(label: string): { field: string; unit: string } | null {
  const apart = label.replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2');
  const words = (bare(apart).match(/\p{L}+/gu) ?? []).filter((word) => !FILLERS.has(word));
  const [first = '', second, third] = words;
  const field = Object.hasOwn(LABELS, first) ? LABELS[first] : undefined;
  if (!field || third !== undefined) return null;
  if (second === undefined) return { field, unit: '' };
  return Object.hasOwn(UNITS, second) ? { field, unit: second } : null;
}

/** Small letters without accents. */
function bare(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
}

// Values

function proposal({ label, value }: Piece, unit: string, known: Known): Proposed | null {
  const found = fieldOf(label);
  if (!found) return null;
  const { field } = found;
  if (field === 'plant') return ofThePlan(field, value, known.plants);
  if (field === 'mix') return ofThePlan(field, value, known.mixes);
  if (field === 'ticket' || field === 'truck') return nameIn(field, value);
  if (field === 'temp') return amount(field, value, found.unit, known);
  return MASSES.includes(field) ? amount(field, value, found.unit || unit, known) : null;
}

function ofThePlan(field: string, value: string, held: Known['plants']): Proposed | null {
  const one = held.find(({ id, name }) => [bare(id), bare(name)].includes(bare(value)));
  return one ? { field, value: one.id, assumed: false } : null;
}

function nameIn(field: string, given: string): Proposed | null {
  const value = given.replace(/^[#\s]+/, '');
  if (!NAME.test(value) || (field === 'ticket' && !/\d/.test(value))) return null;
  return { field, value, assumed: false };
}

/** A number with its unit; the unit from its label, from elsewhere on the ticket, or the job's own. */
function amount(field: string, given: string, elsewhere: string, known: Known): Proposed | null {
  const [, digits = '', said = ''] = AMOUNT.exec(given) ?? [];
  const own = field === 'temp' ? known.temperature : known.mass;
  const unit = said || elsewhere ? unitOf(said || elsewhere, known) : own;
  const number = plain(digits, unit);
  const value = `${number} ${unit}`;
  if (!number || !unit || faults('load', { [field]: value }).some((one) => one.field === field)) return null;
  return { field, value, assumed: !said && !elsewhere };
}

/** One spelling of a unit; empty if it isn't known. “Tons” are short tons where the job's are, else not known. */
function unitOf(said: string, known: Known): string {
  const word = bare(said).replace(/^°/, '').replace(/\.$/, '');
  if (['ton', 'tons', 'tn'].includes(word)) return known.mass === 'ton' ? 'ton' : '';
  return Object.hasOwn(UNITS, word) ? (UNITS[word] ?? '') : said === known.mass ? said : '';
}

/**
 * Plain digits with a point. No truck scale reads parts of a kilogram or pound, so a mark before
 * three digits of these parts thousands; elsewhere one mark is the decimal mark.
 */
function plain(digits: string, unit: string): string {
  let number = digits.replace(/(?<=\d)['’\s](?=\d{3}(?!\d))/g, '');
  if (unit === 'kg' || unit === 'lb') number = number.replace(/[.,](?=\d{3}(?!\d))/g, '');
  const last = Math.max(number.lastIndexOf('.'), number.lastIndexOf(','));
  if (last >= 0) number = `${number.slice(0, last).replace(/[.,](?=\d{3}(?!\d))/g, '')}.${number.slice(last + 1)}`;
  return /^\d+(\.\d+)?$/.test(number) ? number : '';
}
