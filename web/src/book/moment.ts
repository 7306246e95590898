/** Moments as entries carry them: a date and a time with its offset. */

const HOUR = '(?:[01]\\d|2[0-3]):[0-5]\\d';
const MOMENT = new RegExp(
  `^(\\d{4})-(\\d\\d)-(\\d\\d)T(${HOUR}):(\\d\\d)(?:\\.(\\d{1,6}))?([+-])(${HOUR})$`,
);

export const MOMENT_ALLOWED =
  'it must be a date and time with its offset, such as 2026-05-12T09:41:00-04:00';

/** Microseconds since 1970 UTC of a moment as text; NaN if it isn't one. */
export function instant(text: string): number {
  const found = MOMENT.exec(text);
  if (!found) return NaN;
  const [, year, month, day, hour, second, fraction = '', sign, offset] = found as unknown as string[];
  const date = Date.parse(`${year}-${month}-${day}T${hour}:${second}Z`);
  if (Number.isNaN(date) || year === '0000' || !new Date(date).toISOString().startsWith(`${year}-${month}-${day}`)) {
    return NaN;
  }
  const [hours = 0, minutes = 0] = (offset ?? '').split(':').map(Number);
  const shifted = (sign === '-' ? 1 : -1) * (hours * 60 + minutes) * 60_000;
  return (date + shifted) * 1000 + Number(fraction.padEnd(6, '0'));
}

/** A moment of the device's clock with the offset of the place it is in. */
export function momentOf(date: Date): string {
  const away = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + away * 60_000).toISOString().slice(0, 19);
  const two = (value: number) => String(Math.floor(value)).padStart(2, '0');
  return `${local}${away < 0 ? '-' : '+'}${two(Math.abs(away) / 60)}:${two(Math.abs(away) % 60)}`;
}
