import { defineConfig } from 'vite';

/** The command line program: one file and a chunk for each verb, so that it starts fast. The web server's libraries and the solver stay outside. */
export default defineConfig({
  ssr: { noExternal: true, external: ['fastify', '@fastify/static', '@fastify/helmet', 'highs'] },
  build: {
    ssr: 'src/faces/cli/oilshed.ts',
    outDir: 'dist/cli',
    target: 'node20',
    minify: true,
    rolldownOptions: {
      output: { entryFileNames: 'oilshed.js', chunkFileNames: '[name]-[hash].js', banner: '#!/usr/bin/env node' },
    },
  },
});
