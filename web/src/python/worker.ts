/** The project's own Python, in a worker: figures come from the same code as in the office. */

import { type Answered, DOOR, type Ordered } from './door';

/** As much of the browser's Python as is used here. */
interface Python {
  unpackArchive(bytes: ArrayBuffer, format: string, options: { extractDir: string }): void;
  runPython(code: string): unknown;
  globals: { get(name: string): Call };
}

type Call = (...given: string[]) => string;

interface Door {
  open: Call;
  add: Call;
  ask: Call;
}

let door: Promise<Door> | undefined;

/** Everything comes from where the app came from; Python's own package loader is never asked. */
async function start(base: string, core: string, python: string): Promise<Door> {
  const index = new URL(python, base).href;
  const [{ loadPyodide }, archive] = await Promise.all([
    import(/* @vite-ignore */ `${index}pyodide.mjs`) as Promise<{
      loadPyodide(options: { indexURL: string }): Promise<Python>;
    }>,
    fetched(new URL(core, base)),
  ]);
  const made = await loadPyodide({ indexURL: index });
  made.unpackArchive(archive, 'zip', { extractDir: '/core' });
  made.runPython(DOOR);
  const [open, add, ask] = ['open_book', 'add', 'ask'].map((name) => made.globals.get(name));
  return { open, add, ask } as Door;
}

async function fetched(address: URL): Promise<ArrayBuffer> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address.pathname}: ${response.status}`);
  return response.arrayBuffer();
}

async function obey(order: Ordered): Promise<string> {
  if (order.what === 'start') {
    door ??= start(order.base, order.core, order.python);
    await door;
    return 'null';
  }
  const through = await door;
  if (!through) throw new Error('Python was not started');
  if (order.what === 'open') return through.open(order.job, JSON.stringify(order.pairs));
  if (order.what === 'add') return through.add(JSON.stringify(order.pairs));
  return through.ask(order.question, order.given);
}

addEventListener('message', (event: MessageEvent<Ordered>) => {
  const { id } = event.data;
  obey(event.data).then(
    (json) => reply({ id, json }),
    (error: unknown) => reply({ id, failure: String(error) }),
  );
});

function reply(answered: Answered): void {
  postMessage(answered);
}
