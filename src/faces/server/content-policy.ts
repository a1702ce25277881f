/** What pages may load and from where, by directive of the Content Security Policy (W3C, Level 3): nothing from anywhere else. */
export const CONTENT_POLICY = {
  'default-src': ["'self'"],
  'base-uri': ["'self'"],
  'form-action': ["'self'"],
  'img-src': ["'self'", 'data:', 'blob:'],
  'object-src': ["'none'"],
  // The solver is WebAssembly.
  'script-src': ["'self'", "'wasm-unsafe-eval'"],
  'script-src-attr': ["'none'"],
  'style-src': ["'self'"],
  'worker-src': ["'self'"],
} as const;
