import { resolve } from 'node:path';
import optimizeLocales from '@react-aria/optimize-locales-plugin';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';
import { compiledMessages } from './build/compiled-messages.ts';

const apiOrigin = process.env.FROSTMOOT_API ?? `http://localhost:${process.env.PORT ?? '4310'}`;

export default defineConfig({
  root: import.meta.dirname,
  plugins: [
    compiledMessages(),
    { ...optimizeLocales.vite({ locales: ['en-US', 'es-ES', 'ar-AE'] }), enforce: 'pre' },
    react(),
  ],
  resolve: {
    alias: [
      // The packages of the workspace are read from their sources, so that a change in calc shows at once. An alias and not the "source"
      // condition, since packages from outside use that condition too and do not ship the files it names.
      {
        find: /^@frostmoot\/(calc|contract)$/,
        replacement: resolve(import.meta.dirname, '../../packages/$1/src/index.ts'),
      },
      // Messages arrive already parsed, so the parser itself stays out of the browser.
      { find: /^@formatjs\/icu-messageformat-parser$/, replacement: '@formatjs/icu-messageformat-parser/no-parser.js' },
    ],
  },
  json: { stringify: true },
  server: { proxy: { '/api': { target: apiOrigin, changeOrigin: false } } },
  build: {
    outDir: 'dist',
    target: 'es2022',
    sourcemap: true,
    assetsInlineLimit: 0,
    rolldownOptions: {
      output: {
        advancedChunks: {
          // What changes with every release is kept apart from what hardly ever changes.
          groups: [
            { name: 'react', test: /node_modules[\\/](react|react-dom|scheduler)[\\/]/ },
            { name: 'core', test: /node_modules[\\/](@tanstack|@formatjs|intl-messageformat|openapi-fetch|zod)[\\/]/ },
          ],
        },
      },
    },
  },
});
