// A worker that fails as its model's first row bound asks: it ends itself, fills its memory, throws, or never answers.
/** @param {import('../../packages/solver/src/task.ts').Task} task */
export default async function work(task) {
  const how = task.rows.most[0];
  if (how === 1) process.exit(7);
  if (how === 2) {
    const filled = [];
    for (;;) filled.push(Array.from({ length: 1_000_000 }, () => Math.random()));
  }
  if (how === 3) throw new Error('not today');
  if (how === 4) for (;;);
  if (how === 5) {
    const values = new Float64Array([1]);
    task.port.postMessage({ stage: 0, value: 1, bound: 0, values, done: [] });
    for (;;);
  }
  // One more than the row allows: what must never be believed.
  return { status: 'solved', values: new Float64Array([how + 1]), stages: [{ value: 0, bound: 0, proved: true }] };
}
