import { defineConfig } from 'vite';

/** The server's libraries, the lists of common passwords, the solver and the databases: they stay outside, and are loaded by the verbs that need them. */
const OUTSIDE = [
  'fastify',
  '@fastify/static',
  '@fastify/helmet',
  '@fastify/multipart',
  '@fastify/swagger',
  '@zxcvbn-ts/core',
  '@zxcvbn-ts/language-common',
  'highs',
  'pino',
  '@photostructure/sqlite',
  'pg',
];

/** The command line program: one file and a chunk for each verb, so that it starts fast; and the thread that tells of progress. */
export default defineConfig({
  ssr: { noExternal: true, external: OUTSIDE },
  // The library of messages leaves out what only compiles them.
  define: { 'process.env.NODE_ENV': '"production"' },
  build: {
    ssr: true,
    outDir: 'dist/cli',
    target: 'node20',
    minify: true,
    rolldownOptions: {
      // Threads begin at files of their own.
      input: {
        oilshed: 'src/faces/cli/main.ts',
        'progress-thread': 'src/faces/cli/progress-thread.ts',
        reader: 'src/faces/server/reader.ts',
      },
      output: { entryFileNames: '[name].js', chunkFileNames: '[name]-[hash].js', banner: '#!/usr/bin/env node' },
    },
  },
});
