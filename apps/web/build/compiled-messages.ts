import { readFile } from 'node:fs/promises';
import type { Plugin } from 'vite';
import { compileMessages } from '../src/lib/messages/compile.ts';

const CATALOGUE_FILE = /src[\\/]lib[\\/]messages[\\/](?:en|es|ar)[\\/]\w+\.json$/;

/** Parses the ICU messages at build time: a message that does not parse stops the build and names its key. */
export function compiledMessages(): Plugin {
  return {
    name: 'compiled-messages',
    enforce: 'pre',
    async load(id) {
      if (!CATALOGUE_FILE.test(id)) return null;
      const source: unknown = JSON.parse(await readFile(id, 'utf8'));
      return JSON.stringify(compileMessages(source as Record<string, string>, id));
    },
  };
}
