/**
 * `node compile.mjs core.zip library.zip` compiles both archives for the browser's Python, in that
 * Python: nothing else makes modules that it takes. See tools/compiled.py.
 */

import { readFileSync, writeFileSync } from 'node:fs';
import { loadPyodide } from 'pyodide';

const [core, library] = process.argv.slice(2);
const python = await loadPyodide();
const held = python.runPython('import sys; next(path for path in sys.path if path.endswith(".zip"))');
python.FS.writeFile('/core.zip', readFileSync(core));
python.runPython('sys.path.insert(0, "/core.zip")');
python.runPython(readFileSync(new URL('../tools/compiled.py', import.meta.url), 'utf8'));
const compiled = python.globals.get('compiled');
writeFileSync(core, compiled('/core.zip').toJs());
writeFileSync(library, compiled(held).toJs());
