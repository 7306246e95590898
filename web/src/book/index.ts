/** The book on this device: all that the screens use of it. */

export { bundle, bundleName, takeBack, type TakenBack } from './bundle';
export type { Plain, PlainMap } from './canonical';
export { ask as askServer, jobPath, send as askRaw, ServerSaid, Unreachable } from './api';
export { book, meta, setMeta, type Standing, type Told } from './db';
export { me, type Me, publicKey, setMe, type SignedHead } from './device';
export { dropDraft, drafts, loadDraft, saveDraft } from './drafts';
export { readEntry, type Entry, type Envelope, type Pair } from './entry';
export { dropPhotos, holdPhoto, keepPhoto, original, photo, releasePhotos, TAKEN, type KeptPhoto } from './files';
export { counts, type Counts, forks, pairs, refusals } from './holdings';
export { correct, type Draft, entryNamed, keep, type Kept, NotAsTheForm, withdraw } from './keep';
export { type Fault, faults, KINDS, kindNamed, placeFaults, unusual } from './kinds';
export { newId, random } from './ids';
export { clockBy, instant, momentOf, timeBeside } from './moment';
export { listen, type News } from './news';
export { join, pair, type Paired } from './pairing';
export { askToStay, room, type Room } from './room';
export { hex } from './sha256';
export { Sync, type SyncState } from './sync';
export { putAway, told, trouble } from './told';
export { EntryRefused, Refused, Trouble } from './trouble';
export { filled, say, speakBy, type Sentences } from './words';
