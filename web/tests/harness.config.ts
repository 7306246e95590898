/** Builds the harness into the folder that the tests name; it has what the app has, but no screen. */

import { defineConfig } from 'vite';
import app from '../vite.config.ts';

const here = import.meta.dirname;

export default defineConfig({
  root: here,
  publicDir: `${here}/../public`,
  base: './',
  build: { ...app.build, rollupOptions: { input: `${here}/harness.html` } },
  worker: { format: 'es' },
});
