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

const HOUR_MS = 3_600_000;

/** A time of day on the day of another moment, by its clock; in a night the nearer evening or morning. */
export function timeBeside(beside: string, clock: string, night: boolean): string {
  const found = beside.replace(/T[^-+]*/, `T${clock}:00`);
  const apart = (Date.parse(found) - Date.parse(beside)) / HOUR_MS;
  if (!night || Math.abs(apart) <= 12) return found;
  const day = new Date(`${beside.slice(0, 10)}T00:00Z`);
  day.setUTCDate(day.getUTCDate() - Math.sign(apart));
  return day.toISOString().slice(0, 10) + found.slice(10);
}

/**
 * Hours and minutes of a moment by the clock of another one, which is the shift's: a colleague's
 * device may stand in another zone. An hour apart is the shift's own clock, put forward or back.
 */
export function clockBy(text: string, other: string): string {
  const away = offsetMs(other) - offsetMs(text);
  if (Number.isNaN(away) || Math.abs(away) <= HOUR_MS) return text.slice(11, 16);
  return new Date(Date.parse(text) + offsetMs(other)).toISOString().slice(11, 16);
}

/** How far a moment's clock is ahead of UTC; NaN if it isn't a moment. */
function offsetMs(text: string): number {
  const [, sign = '', hours, minutes] = /([+-])(\d\d):(\d\d)$/.exec(text) ?? [];
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * 60_000;
}
