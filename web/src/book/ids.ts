/** Names that this device makes: ids of entries, and its own. */

import { hex } from './sha256';

/** A UUID of version 7 (RFC 9562, section 5.7) from the device's clock and ten random bytes. */
export function newId(clockMs: number, random: Uint8Array): string {
  const digits = clockMs.toString(16).padStart(12, '0') + hex(random);
  const variant = '89ab'[parseInt(digits.charAt(16), 16) & 3];
  const part = (from: number, to: number) => digits.slice(from, to);
  return `${part(0, 8)}-${part(8, 12)}-7${part(13, 16)}-${variant}${part(17, 20)}-${part(20, 32)}`;
}

export function random(count: number): Uint8Array {
  return crypto.getRandomValues(new Uint8Array(count));
}

/** A name for a device; a restored or cloned one takes a new name. */
export function newDevice(): string {
  return `d-${hex(random(6))}`;
}
