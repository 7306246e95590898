/** Builds the app into the server's folder, from which `matbook serve` hands it out. */

import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

export default defineConfig({
  plugins: [svelte()],
  define: { __VERSION__: JSON.stringify(process.env.MATBOOK_VERSION ?? '0') },
  base: './',
  build: {
    outDir: '../src/matbook/server/app',
    emptyOutDir: true,
    target: ['chrome111', 'firefox114', 'safari16.4'],
    assetsInlineLimit: 0, // the content policy takes nothing from data: addresses
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  worker: { format: 'es' },
});
