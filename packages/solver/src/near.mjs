// Where to look for a better solution: in ranges around the best so far and the solution of a linear program.

/** @typedef {import('./task.ts').Task} Task */

/** What is as near to a whole number as this is taken for it. */
const NEARLY = 1e-6;
/** How far around it a wider search looks. */
const ROOM = 1;

/** How wide to look; each width holds more than those before it. */
export const WIDTHS = /** @type {const} */ (['between', 'beside', 'beside what is broken', 'beside what differs']);

/** Whether so much may change that looking everywhere is as soon done. @param {{ low: Float64Array, high: Float64Array }} ranges */
export const isNearlyAll = ({ low, high }) => 2 * low.filter((least, i) => least !== high[i]).length > low.length;

/**
 * Ranges of all columns. `between`: where both agree nothing is changed, elsewhere values may go from one to the other (relaxation induced neighbourhood search;
 * Danna, Rothberg and Le Pape, Math. Programming 102, 2005); `beside`: and a little further; then also the columns that share two rows with those that are not
 * whole, or with those that differ. Without a solution so far they are next to the linear program's.
 * @param {Pick<Task, 'columns' | 'rows'>} task
 * @param {Float64Array} around the solution of the linear program
 * @param {Float64Array | null} best
 * @param {typeof WIDTHS[number]} width
 */
export function rangesNear(task, around, best, width) {
  const { least, most, whole } = task.columns;
  const [low, high] = [Float64Array.from(least), Float64Array.from(most)];
  const room = best && width === 'between' ? 0 : ROOM;
  const differs = (/** @type {number} */ i) => Math.abs((around[i] ?? 0) - (best?.[i] ?? 0)) >= NEARLY;
  const isBroken = (/** @type {number} */ i) => Math.abs((around[i] ?? 0) - Math.round(around[i] ?? 0)) >= NEARLY;
  const isDrawnIn =
    width === 'beside what is broken'
      ? sharing(task, isBroken)
      : width === 'beside what differs'
        ? sharing(task, differs)
        : () => false;
  for (let i = 0; i < low.length; i++) {
    const there = around[i] ?? 0;
    const here = best ? (best[i] ?? 0) : Math.round(there);
    if (best && !whole[i]) continue;
    if (best && !differs(i) && !isDrawnIn(i)) {
      low[i] = high[i] = here;
      continue;
    }
    low[i] = Math.max(low[i] ?? 0, Math.min(Math.floor(there + NEARLY), here) - room);
    high[i] = Math.min(high[i] ?? 0, Math.max(Math.ceil(there - NEARLY), here) + room);
  }
  return { low, high };
}

/**
 * Whether a column is in two rows or more that hold one of those meant.
 * @param {Pick<Task, 'columns' | 'rows'>} task
 * @param {(column: number) => boolean} isMeant
 */
function sharing({ columns, rows }, isMeant) {
  const times = new Uint8Array(columns.least.length);
  for (let r = 0; r < rows.least.length; r++) {
    const indices = rows.indices.subarray(rows.starts[r] ?? 0, rows.starts[r + 1] ?? 0);
    if (indices.some(isMeant)) for (const column of indices) times[column] = Math.min(2, (times[column] ?? 0) + 1);
  }
  return (/** @type {number} */ column) => times[column] === 2;
}

/** Whether most columns have a range worth narrowing. @param {Task} task */
export function isWide({ columns }) {
  let wide = 0;
  columns.least.forEach((least, i) => (wide += (columns.most[i] ?? 0) - least > 2 * ROOM + 1 ? 1 : 0));
  return wide * 2 > columns.least.length;
}
