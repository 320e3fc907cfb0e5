import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig, type Plugin } from 'vite';

// The letters are asked for with the page itself, not after its style is read.
const letters: Plugin = {
  name: 'letters-first',
  transformIndexHtml: {
    order: 'post',
    handler: (_html, { bundle }) =>
      Object.keys(bundle ?? {}).filter((f) => /\.woff2$/.test(f)).map((f) => ({ tag: 'link', attrs: { rel: 'preload', as: 'font', type: 'font/woff2', crossorigin: '', href: '/' + f }, injectTo: 'head' as const })),
  },
};

export default defineConfig({
  plugins: [svelte(), letters],
  build: {
    outDir: '../dist',
    emptyOutDir: true,
    assetsInlineLimit: 0, // nothing in data: addresses, which the policy of the page forbids
    modulePreload: { polyfill: false },
    target: 'es2022',
    rollupOptions: { output: { entryFileNames: 'assets/page-[hash].js', assetFileNames: 'assets/[name]-[hash][extname]' } },
  },
});
