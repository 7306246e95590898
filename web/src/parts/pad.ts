/** What a number pad does to the text in a field: it knows the unit and the range. */

export interface Range {
  /** The largest number the field may hold, in the unit shown; none if open. */
  high?: number;
  /** Whether a decimal point makes sense. */
  decimals: boolean;
  /** Whether a scale prints decimals that people leave out: then the point is put in. */
  point?: boolean;
  /** Whether a minus sign makes sense. */
  negative: boolean;
}

/** A number among those that share a pad. */
export interface Padded {
  name: string;
  title: string;
  value: string;
  /** Its unit, as people write it. */
  sign: string;
  range: Range;
  station: boolean;
}

const LONGEST = 10;
/** “22400 kg” where the pad writes tonnes: what is pressed begins anew. */
const UNIT_OF_ITS_OWN = /^-?[\d.]+ \p{L}/u;

/**
 * The text after a key. Where one digit more would leave the range, the decimal point is put in:
 * 2 2 4 0 becomes 22.40 where a truck holds at most 80 tonnes.
 */
export function pressed(given: string, key: string, range: Range): string {
  const text = UNIT_OF_ITS_OWN.test(given) ? '' : given;
  if (key === 'back') return text.slice(0, -1);
  if (key === 'clear') return '';
  if (key === '-') return !range.negative ? text : text.startsWith('-') ? text.slice(1) : `-${text}`;
  if (text.length >= LONGEST) return text;
  if (key === '.') {
    if (!range.decimals || text.includes('.')) return text;
    return text === '' || text === '-' ? `${text}0.` : `${text}.`;
  }
  if (/^-?0$/.test(text)) return text.replace('0', key);
  const longer = text + key;
  const exact = !range.decimals || text.includes('.') || range.high === undefined || text === '';
  if (exact || !range.point) return longer;
  return Math.abs(Number(longer)) > (range.high ?? Infinity) ? `${text}.${key}` : longer;
}

/** A number as it is kept: no point at the end, no empty sign; empty if there is no number. */
export function settled(text: string): string {
  const plain = text.replace(/\.$/, '');
  return plain === '-' ? '' : plain;
}

/** What was typed with its unit: a bare number has the field's own. */
export function withUnit(typed: string, unit: string): string {
  const plain = typed.trim().replace(/^(-?[0-9]*),([0-9]+)/, '$1.$2');
  return /^-?[0-9]*[.]?[0-9]+[.]?$/.test(plain) ? `${settled(plain)} ${unit}` : plain;
}
