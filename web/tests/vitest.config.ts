/** Units of the data layer that need no browser; the rest runs in Chromium, from tests/web. */

import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  test: { include: ['tests/**/*.test.ts'], environment: 'node' },
});
