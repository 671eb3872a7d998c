export { CalcPool } from './calc-pool.ts';
export type { CalcOptions, CalcPoolOptions, ProveOptions } from './calc-pool.ts';
export { lpText } from './lp-text.ts';
export { SolverPool } from './solver-pool.ts';
export type { SolverPoolOptions } from './solver-pool.ts';
export { withinTime } from './within-time.ts';
