/** Builds the app into the server's folder, from which `matbook serve` hands it out. */

import { svelte } from '@sveltejs/vite-plugin-svelte';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { extname, join, relative } from 'node:path';
import { brotliCompressSync, constants, gzipSync } from 'node:zlib';
import { defineConfig, type Plugin } from 'vite';

const OUT = join(import.meta.dirname, '../src/matbook/server/app');

/** Writes the service worker with the list of everything that the app needs with no signal. */
function offline(): Plugin {
  return {
    name: 'offline',
    apply: 'build',
    closeBundle() {
      const files = readdirSync(OUT, { recursive: true, withFileTypes: true })
        .filter((file) => file.isFile() && file.name !== 'sw.js')
        .map((file) => relative(OUT, join(file.parentPath, file.name)).replaceAll('\\', '/'))
        .sort();
      const version = createHash('sha256');
      for (const file of files) version.update(file).update(readFileSync(join(OUT, file)));
      const worker = readFileSync(join(import.meta.dirname, 'src/offline.js'), 'utf8')
        .replace('__FILES__', JSON.stringify(files))
        .replace('__VERSION__', version.digest('hex').slice(0, 16));
      writeFileSync(join(OUT, 'sw.js'), worker);
      for (const file of [...files, 'sw.js']) pack(join(OUT, file));
    },
  };
}

const PACKED = ['.css', '.html', '.js', '.json', '.mjs', '.svg', '.wasm', '.zip'];
const LARGE = 1 << 19; // from here on the last per cent of all that a phone loads takes many seconds

/** Puts a file beside itself compressed, as the server hands it to a browser that takes it so. */
function pack(path: string): void {
  if (!PACKED.includes(extname(path))) return;
  const plain = readFileSync(path);
  const { BROTLI_PARAM_QUALITY, BROTLI_MAX_QUALITY } = constants;
  const quality = plain.length < LARGE ? BROTLI_MAX_QUALITY : 7;
  writeFileSync(`${path}.br`, brotliCompressSync(plain, { params: { [BROTLI_PARAM_QUALITY]: quality } }));
  writeFileSync(`${path}.gz`, gzipSync(plain, { level: 9 }));
}

export default defineConfig({
  plugins: [svelte(), offline()],
  base: './',
  build: {
    outDir: '../src/matbook/server/app',
    emptyOutDir: true,
    target: ['chrome111', 'firefox114', 'safari16.4'],
    assetsInlineLimit: 0, // the content policy takes nothing from data: addresses
    cssCodeSplit: false,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  worker: { format: 'es' },
});
