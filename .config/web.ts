import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import preact from '@preact/preset-vite';
import { defineConfig, type Plugin } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';
import { CONTENT_POLICY } from '../src/faces/server/content-policy.ts';

/** The demo yards lie beside the built pages, as they are in the folder site-maps. */
const demoYards: Plugin = {
  name: 'demo-yards',
  generateBundle() {
    for (const name of readdirSync('site-maps').filter((each) => /\.(geo)?json$/.test(each)))
      this.emitFile({ type: 'asset', fileName: `site-maps/${name}`, source: readFileSync(join('site-maps', name)) });
  },
};

/** Where nobody says what a page may load, it says so itself. A page cannot say who may frame it. */
const policyInPage: Plugin = {
  name: 'policy-in-page',
  transformIndexHtml: () => {
    const content = Object.entries(CONTENT_POLICY).map(([directive, sources]) => [directive, ...sources].join(' '));
    const attrs = { 'http-equiv': 'Content-Security-Policy', content: content.join('; ') };
    return [{ tag: 'meta', attrs, injectTo: 'head-prepend' }];
  },
};

/** Stores the whole program in the browser after the first answer, so that it works with no network. A new one waits for nothing. */
const offline = VitePWA({
  injectRegister: false,
  includeManifestIcons: false,
  manifest: {
    id: '/',
    name: 'Oilshed',
    short_name: 'Oilshed',
    description: "Where oil in a yard's drains came from, and where to block it.",
    start_url: './',
    scope: './',
    display: 'standalone',
    background_color: '#f6f3ec',
    theme_color: '#f6f3ec',
    icons: [
      { src: 'icon-192.png', sizes: '192x192', type: 'image/png' },
      { src: 'icon-512.png', sizes: '512x512', type: 'image/png' },
      { src: 'icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
      { src: 'oilshed.svg', sizes: 'any', type: 'image/svg+xml' },
    ],
  },
  workbox: {
    globPatterns: ['**/*.{html,js,css,svg,wasm}', 'site-maps/*'],
    // The solver's WebAssembly is larger than the default limit.
    maximumFileSizeToCacheInBytes: 8_000_000,
    navigateFallback: 'index.html',
    // The page itself, in whatever folder it lies; photos and calendars beside it are opened as they are.
    navigateFallbackAllowlist: [/\/(index\.html)?(\?.*)?$/],
    skipWaiting: true,
    clientsClaim: true,
    cleanupOutdatedCaches: true,
    inlineWorkboxRuntime: true,
  },
});

/** Each sheet says the order of the style's layers first, since a page may load any of them before the one that says it in the source. */
const layersFirst: Plugin = {
  name: 'layers-first',
  enforce: 'post',
  generateBundle(_options, bundle) {
    const [order] = readFileSync('src/faces/web/app/layers.css', 'utf8').match(/@layer [^;{]+;/) ?? [];
    for (const file of Object.values(bundle))
      if (file.type === 'asset' && file.fileName.endsWith('.css')) file.source = `${order}${file.source}`;
  },
};

const COMPRESSED = /\.(html|js|css|svg|wasm|json|geojson|webmanifest)$/;
/** Brotli at its best takes ten seconds over the solver, and saves a seventh. */
const LARGE = 2_000_000;

/** Puts a brotli and a gzip file beside each that gets shorter by them, for servers that hand those out. */
const compressed: Plugin = {
  name: 'compressed',
  closeBundle: {
    sequential: true,
    order: 'post',
    async handler() {
      const { root, build } = this.environment.config;
      const folder = resolve(root, build.outDir);
      const names = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) => COMPRESSED.test(name));
      await Promise.all(names.map((name) => compress(join(folder, name))));
    },
  },
};

async function compress(file: string): Promise<void> {
  const bytes = readFileSync(file);
  const quality = bytes.length > LARGE ? 9 : constants.BROTLI_MAX_QUALITY;
  const params = { [constants.BROTLI_PARAM_QUALITY]: quality, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length };
  for (const [ending, packed] of [
    ['br', await promisify(brotliCompress)(bytes, { params })],
    ['gz', await promisify(gzip)(bytes, { level: constants.Z_BEST_COMPRESSION })],
  ] as const)
    if (packed.length < bytes.length) writeFileSync(`${file}.${ending}`, packed);
}

/** Writing CSV does nothing when it is loaded, which its package does not say: it comes only with what saves a table. */
const treeshake = { moduleSideEffects: [{ test: /csv-stringify/, sideEffects: false }] };

/** The page: as the server serves it, or for a host that only hands files out and has no log book (`isStatic`). */
export const pages = (isStatic: boolean) =>
  defineConfig({
    root: 'src/faces/web',
    // All addresses are relative, so that the page may lie in any folder of a host.
    base: './',
    plugins: [preact(), demoYards, ...(isStatic ? [policyInPage] : []), offline, layersFirst, compressed],
    worker: { format: 'es', rolldownOptions: { treeshake } },
    define: { 'import.meta.env.STATIC': isStatic },
    build: {
      outDir: `../../../dist/${isStatic ? 'static' : 'web'}`,
      emptyOutDir: true,
      target: 'es2022',
      rolldownOptions: { treeshake },
    },
  });

export default pages(false);
