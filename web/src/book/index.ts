/** The book on this device. */

export * from './db';
export * from './entry';
export * from './keep';
export * from './sync';
