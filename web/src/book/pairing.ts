/** Pairing: a one-time code makes this device one person's, in one role, on one job. */

import { ask } from './api';
import { me, type Me, publicKey, setMe } from './device';

export interface Paired {
  token: string;
  device: string;
  person: string;
  role: string;
  job: string;
  name: string;
}

/** Hand in a code; from then on this device signs in with the token it got. */
export async function pair(code: string): Promise<Me> {
  const { device } = await me();
  const key = await publicKey();
  const { token, person, role, job, name } = await ask<Paired>('POST', '/api/pair', { code, device, key });
  return setMe({ token, person, role, job, name });
}

/** Without pairing, on the machine itself: who writes, and on which job. */
export async function join(job: string, person: string): Promise<Me> {
  return setMe({ job, person });
}
