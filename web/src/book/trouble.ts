/** What can go wrong, as sentences for the person; `code` is what programs look at. */

export class Trouble extends Error {
  readonly code: string;
  readonly given: Record<string, string | number>;

  constructor(code: string, sentence: string, given: Record<string, string | number> = {}) {
    super(sentence);
    this.name = 'Trouble';
    this.code = code;
    this.given = given;
  }

  get sentence(): string {
    return this.message;
  }
}

/** A value that can't be taken: which field, what was given, what is allowed. */
export class Refused extends Trouble {
  constructor(
    readonly field: string,
    readonly was: string,
    readonly allowed: string,
    code = 'refused',
  ) {
    super(code, `${field} is “${was.slice(0, 60)}”; ${allowed}.`);
  }
}

/** An entry whose envelope isn't intact: its text, hash, chain or size. */
export class EntryRefused extends Trouble {
  constructor(sentence: string) {
    super('entry-refused', sentence);
  }
}
