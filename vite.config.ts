import { defineConfig } from 'vite';

export default defineConfig({
  root: 'src/page',
  base: './',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: { outDir: '../../dist/page', emptyOutDir: true, target: 'es2022', modulePreload: { polyfill: false } },
});
