import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import preact from '@preact/preset-vite';
import { defineConfig } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';

/** The demo yards lie beside the built pages, not among them; each is stored anew when its bytes change. */
const demoYards = readdirSync('site-maps')
  .filter((name) => /\.(geo)?json$/.test(name))
  .map((name) => ({
    url: `/site-maps/${name}`,
    revision: createHash('sha256')
      .update(readFileSync(`site-maps/${name}`))
      .digest('hex'),
  }));

/** Stores the whole program in the browser at the first visit, so that it works with no network. A new one waits for nothing. */
const offline = VitePWA({
  injectRegister: false,
  includeManifestIcons: false,
  manifest: {
    name: 'Oilshed',
    short_name: 'Oilshed',
    description: "Where oil in a yard's drains came from, and where to block it.",
    start_url: '/',
    display: 'standalone',
    background_color: '#f6f3ec',
    theme_color: '#f6f3ec',
    icons: [{ src: '/oilshed.svg', sizes: 'any', type: 'image/svg+xml' }],
  },
  workbox: {
    globPatterns: ['**/*.{html,js,css,svg,wasm}'],
    additionalManifestEntries: demoYards,
    // The solver's WebAssembly is larger than the default limit.
    maximumFileSizeToCacheInBytes: 8_000_000,
    navigateFallback: '/index.html',
    navigateFallbackDenylist: [/^\/api\//, /^\/site-maps\//],
    skipWaiting: true,
    clientsClaim: true,
    cleanupOutdatedCaches: true,
    inlineWorkboxRuntime: true,
  },
});

export default defineConfig({
  root: 'src/faces/web',
  plugins: [preact(), offline],
  worker: { format: 'es' },
  build: { outDir: '../../../dist/web', emptyOutDir: true, target: 'es2022' },
});
