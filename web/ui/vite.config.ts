import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

export default defineConfig({
  plugins: [svelte()],
  build: {
    outDir: '../dist',
    emptyOutDir: true,
    assetsInlineLimit: 0, // nothing in data: addresses, which the policy of the page forbids
    modulePreload: { polyfill: false },
    target: 'es2022',
    rollupOptions: { output: { entryFileNames: 'assets/page-[hash].js', assetFileNames: 'assets/[name]-[hash][extname]' } },
  },
});
