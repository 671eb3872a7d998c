// A worker that fails as its input asks: it ends itself, fills its memory, throws, or never answers; with anything else it gives the input back.
/** @param {import('../../packages/solver/src/calc-pool.ts').CalcTask} task */
export default async function work({ input }) {
  const { how } = /** @type {{ how?: string }} */ (input);
  if (how === 'exit') process.exit(7);
  if (how === 'memory') {
    const filled = [];
    for (;;) filled.push(Array.from({ length: 1_000_000 }, () => Math.random()));
  }
  if (how === 'throw') throw new Error('not today');
  if (how === 'never') for (;;);
  return { result: input };
}
