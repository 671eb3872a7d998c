import type { components } from './schema.d.ts';

/** The shapes of the contract, generated from its document: `Schemas['Round']`. */
export type Schemas = components['schemas'];
