/** What passes between the app and the worker that runs the core: text only. */

import type { Pair } from '../book/entry';

export type Order =
  | { what: 'start'; base: string; core: string; python: string }
  | { what: 'open'; job: string; pairs: Pair[] }
  | { what: 'add'; pairs: Pair[] }
  | { what: 'ask'; question: string; given: string };

export type Ordered = Order & { id: number };

/** What came of an order: JSON; or, in words, why not. */
export interface Answered {
  id: number;
  json?: string;
  failure?: string;
}

/** What the core answers: data, or a refusal made for a person. */
export type CoreAnswer = { answer: unknown } | { code: string; sentence: string };

/** Of each entry handed in: new to the core, known, or not an entry. */
export interface Added {
  hash: string;
  state: 'kept' | 'had' | 'refused';
  reason: string;
}

/** The Python side of the door. It only opens the book and asks it. */
export const DOOR = `
import gc, json, sys

sys.path.insert(0, "/core.zip")

from matbook.desk.open_book import OpenBook
from matbook.errors import MatbookError

book = OpenBook("")
book.ask("kinds")  # its tables are read here, before the image is made
gc.set_threshold(50_000)  # it collects between questions, by tidy, not in the middle of an answer
gc.collect()
gc.freeze()

def tidy():
    gc.collect()

def open_book(job, pairs):
    global book
    gc.unfreeze()
    book = OpenBook(job)
    told = add(pairs)
    gc.collect()
    gc.freeze()  # a season's entries are not looked through at every collection
    return told

def add(pairs):
    return json.dumps(book.add([(one["hash"], one["text"]) for one in json.loads(pairs)]))

def ask(question, given):
    try:
        return json.dumps({"answer": book.ask(question, json.loads(given))})
    except MatbookError as refusal:
        return json.dumps({"code": refusal.code, "sentence": str(refusal)})
`;
