/** SHA-256 by the browser itself, in lower-case hexadecimal digits. */

const utf8 = new TextEncoder();

export async function sha256Hex(text: string): Promise<string> {
  return sha256OfBytes(utf8.encode(text));
}

export async function sha256OfBytes(bytes: BufferSource): Promise<string> {
  return hex(new Uint8Array(await crypto.subtle.digest('SHA-256', bytes)));
}

export function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
