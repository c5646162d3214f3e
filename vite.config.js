import { defineConfig } from 'vite';
import preact from '@preact/preset-vite';

export default defineConfig({
  root: 'src/page',
  base: './',
  plugins: [preact()],
  build: { outDir: '../../dist/page', emptyOutDir: true, chunkSizeWarningLimit: 900 },
});
