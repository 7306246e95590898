/** The project's own Python, in a worker: figures come from the same code as in the office. */

import type { Pair } from '../book/entry';

export interface Asked {
  id: number;
  what: 'start' | 'open' | 'add' | 'ask';
  base?: string;
  core?: string;
  job?: string;
  pairs?: Pair[];
  question?: string;
  given?: string;
}

interface Python {
  unpackArchive(bytes: ArrayBuffer, format: string, options: { extractDir: string }): void;
  runPython(code: string): unknown;
  globals: { get(name: string): (...given: string[]) => string };
}

const DOOR = `
import sys, json, gc
sys.path.insert(0, "/core")
from matbook.desk.open_book import OpenBook
from matbook.errors import MatbookError
_book = None
def open_book(job, pairs):
    global _book
    _book = OpenBook(job)
    return add(pairs)
def add(pairs):
    told = _book.add((one["hash"], one["text"]) for one in json.loads(pairs))
    if len(told) > 100:
        gc.collect(); gc.freeze()
    return json.dumps(told)
def ask(question, given):
    try:
        return json.dumps({"answer": _book.ask(question, json.loads(given))})
    except MatbookError as error:
        return json.dumps({"refused": str(error)})
`;

let python: Promise<Python> | undefined;

async function start(base: string, core: string): Promise<Python> {
  const index = new URL('pyodide/', base).href;
  const { loadPyodide } = (await import(/* @vite-ignore */ `${index}pyodide.mjs`)) as {
    loadPyodide(options: { indexURL: string }): Promise<Python>;
  };
  const [made, archive] = await Promise.all([
    loadPyodide({ indexURL: index }),
    fetch(new URL(core, base)).then((answer) => answer.arrayBuffer()),
  ]);
  made.unpackArchive(archive, 'zip', { extractDir: '/core' });
  made.runPython(DOOR);
  return made;
}

async function answer(asked: Asked): Promise<string> {
  if (asked.what === 'start') python ??= start(asked.base ?? '', asked.core ?? '');
  const made = await python;
  if (!made) throw new Error('Python was not started');
  const call = (name: string, ...given: string[]): string => made.globals.get(name)(...given);
  if (asked.what === 'open') return call('open_book', asked.job ?? '', JSON.stringify(asked.pairs));
  if (asked.what === 'add') return call('add', JSON.stringify(asked.pairs));
  if (asked.what === 'ask') return call('ask', asked.question ?? '', asked.given ?? '{}');
  return '{}';
}

addEventListener('message', async (event: MessageEvent<Asked>) => {
  const { id } = event.data;
  try {
    postMessage({ id, answer: await answer(event.data) });
  } catch (error) {
    postMessage({ id, trouble: String(error) });
  }
});
