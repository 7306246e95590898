/** An entry as a device writes it: the one text of its envelope, and the hash of that text. */

export type Plain = string | number | Plain[] | { [key: string]: Plain };

export interface Pair {
  hash: string;
  text: string;
}

/** The one text of a value: sorted keys, no spaces, whole numbers only (the form of RFC 8785). */
export function canonical(value: Plain): string {
  if (typeof value === 'number') {
    if (!Number.isSafeInteger(value)) throw new Error(`${value} is not a whole number below 2^53`);
    return String(value);
  }
  if (typeof value === 'string') return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(canonical).join(',')}]`;
  const keys = Object.keys(value).sort();
  return `{${keys.map((key) => `${JSON.stringify(key)}:${canonical(value[key] as Plain)}`).join(',')}}`;
}

export function hex(bytes: ArrayBuffer | Uint8Array): string {
  return [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

export async function hashOf(text: string): Promise<string> {
  return hex(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text)));
}

/** A UUID of version 7 (RFC 9562, section 5.7) from the clock and ten random bytes. */
export function newId(clockMs: number, random: Uint8Array): string {
  const digits = clockMs.toString(16).padStart(12, '0') + hex(random);
  const variant = '89ab'[parseInt(digits.charAt(16), 16) & 3];
  return (
    `${digits.slice(0, 8)}-${digits.slice(8, 12)}-7${digits.slice(13, 16)}` +
    `-${variant}${digits.slice(17, 20)}-${digits.slice(20, 32)}`
  );
}

/** A moment as entries carry it: to the second, with this place's offset. */
export function moment(at: Date): string {
  const minutes = -at.getTimezoneOffset();
  const local = new Date(at.getTime() + minutes * 60_000).toISOString().slice(0, 19);
  const size = Math.abs(minutes);
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${local}${minutes < 0 ? '-' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}
