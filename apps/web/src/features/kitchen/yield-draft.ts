import type { Schemas } from '../../lib/api/schemas.ts';

export type Batch = Schemas['Batch'];
export type Kitchen = Schemas['Kitchen'];
type SentContainers = Schemas['EnterYield']['containers'];

/** Equal containers as they are counted at the counter. */
export interface YieldRow {
  portions: number;
  count: number;
  millilitres: number | null;
}

/** What is counted at first: what was entered before, else what the recipe plans. */
export function rowsOf(batch: Pick<Batch, 'containers' | 'containerPlan'>): YieldRow[] {
  if (batch.containers.length === 0) return batch.containerPlan.map((row) => ({ ...row }));
  const sizes = new Map(batch.containerPlan.map(({ portions, millilitres }) => [portions, millilitres]));
  return batch.containers.map(({ portions, count }) => ({ portions, count, millilitres: sizes.get(portions) ?? null }));
}

export const portionsOf = (rows: readonly YieldRow[]): number =>
  rows.reduce((total, { portions, count }) => total + portions * count, 0);
export const containersOf = (rows: readonly YieldRow[]): number => rows.reduce((total, { count }) => total + count, 0);

/** How what came out stands to the plan. */
export function againstPlan(portions: number, planned: number): { kind: 'short' | 'over' | 'even'; by: number } {
  const kind = portions < planned ? 'short' : portions > planned ? 'over' : 'even';
  return { kind, by: Math.abs(portions - planned) };
}

/** What is sent; sizes of which there are none are left out. */
export const sentContainers = (rows: readonly YieldRow[]): SentContainers =>
  rows.filter(({ count }) => count > 0).map((row) => ({ ...row }));

/** The batch to open first: the first one that nothing was entered for. */
export const nextBatch = (batches: readonly Batch[], after?: string): Batch | undefined => {
  const from = after === undefined ? -1 : batches.findIndex(({ id }) => id === after);
  const inOrder = [...batches.slice(from + 1), ...batches.slice(0, from + 1)];
  return inOrder.find(({ id, state }) => state === 'planned' && id !== after);
};
