/** Injection token of {@link import('./config.ts').Config}. */
export const CONFIG = Symbol('CONFIG');
