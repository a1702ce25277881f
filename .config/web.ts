import preact from '@preact/preset-vite';
import { defineConfig } from 'vite';

export default defineConfig({
  root: 'src/faces/web',
  plugins: [preact()],
  worker: { format: 'es' },
  build: { outDir: '../../../dist/web', emptyOutDir: true, target: 'es2022' },
});
