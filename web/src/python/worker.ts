/** The project's own Python, in a worker: figures come from the same code as in the office. */

import { type Answered, DOOR, type Ordered } from './door';
import { dropImage, heldImage, imageAddress, keepImage } from './image';

/** As much of the browser's Python as is used here. */
interface Python {
  FS: { writeFile(path: string, bytes: Uint8Array): void };
  runPython(code: string): unknown;
  makeMemorySnapshot(): Uint8Array<ArrayBuffer>;
  globals: { get(name: string): Call };
}

interface Machine {
  growMemory(bytes: number): void;
}

interface Options {
  indexURL: string;
  _makeSnapshot?: boolean;
  _loadSnapshot?: Uint8Array;
  createPyodideModule?(settings: object): Promise<Machine>;
}

type Load = (options: Options) => Promise<Python>;
type Call = (...given: string[]) => string;

interface Door {
  open: Call;
  add: Call;
  ask: Call;
  tidy: () => void;
  /** Whether it was woken from its image, and not started anew. */
  woken: boolean;
}

/** So long after the last order nobody waits: an image is kept, what is no longer needed is let go. */
const TIDY_MS = 300;

let tidying: ReturnType<typeof setTimeout> | undefined;
let door: Promise<Door> | undefined;
let keep: (() => Promise<void>) | undefined;

/** Everything comes from where the app came from; Python's own package loader is never asked. */
async function start(base: string, core: string, python: string): Promise<Door> {
  const index = new URL(python, base).href;
  const address = imageAddress(core);
  const [{ loadPyodide }, archive, image] = await Promise.all([
    import(/* @vite-ignore */ `${index}pyodide.mjs`) as Promise<{ loadPyodide: Load }>,
    fetched(new URL(core, base)),
    heldImage(address).catch(() => undefined),
  ]);
  const woken = image && (await awoken(loadPyodide, index, image));
  const made = woken ?? (await loadPyodide({ indexURL: index, _makeSnapshot: true }));
  made.FS.writeFile('/core.zip', new Uint8Array(archive));
  if (!woken) {
    made.runPython(DOOR);
    const image = made.makeMemorySnapshot();
    keep = () => keepImage(address, image);
  }
  const [open, add, ask, tidy] = ['open_book', 'add', 'ask', 'tidy'].map((name) => made.globals.get(name));
  return { open, add, ask, tidy, woken: !!woken } as Door;
}

/** Python as it stood when its image was made; undefined where that can't be had any more. */
async function awoken(load: Load, index: string, image: Uint8Array): Promise<Python | undefined> {
  const createPyodideModule = async (settings: object): Promise<Machine> => {
    const { default: create } = (await import(/* @vite-ignore */ `${index}pyodide.asm.mjs`)) as {
      default(settings: object): Promise<Machine>;
    };
    const machine = await create(settings);
    machine.growMemory(image.length); // it is put back as large as it was, and doesn't grow by itself
    return machine;
  };
  try {
    return await load({ indexURL: index, _loadSnapshot: image, createPyodideModule });
  } catch {
    await dropImage();
    return undefined;
  }
}

async function fetched(address: URL): Promise<ArrayBuffer> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address.pathname}: ${response.status}`);
  return response.arrayBuffer();
}

async function obey(order: Ordered): Promise<string> {
  if (order.what === 'start') {
    door ??= start(order.base, order.core, order.python);
    return JSON.stringify((await door).woken);
  }
  const through = await door;
  if (!through) throw new Error('Python was not started');
  if (order.what === 'open') return through.open(order.job, JSON.stringify(order.pairs));
  if (order.what === 'add') return through.add(JSON.stringify(order.pairs));
  return through.ask(order.question, order.given);
}

addEventListener('message', (event: MessageEvent<Ordered>) => {
  const { id } = event.data;
  obey(event.data)
    .then(
      (json) => reply({ id, json }),
      (error: unknown) => {
        reply({ id, failure: String(error) });
        keep = undefined;
        void dropImage(); // refusals are answers: whatever failed here may fail by the image
      },
    )
    .finally(tidySoon);
});

function tidySoon(): void {
  clearTimeout(tidying);
  tidying = setTimeout(() => {
    door?.then(({ tidy }) => tidy()).catch(() => undefined);
    keep?.().catch(() => undefined); // it only saves time
    keep = undefined;
  }, TIDY_MS);
}

function reply(answered: Answered): void {
  postMessage(answered);
}
