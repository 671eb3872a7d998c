import { stateNow } from '@frostmoot/calc';
import type { swap, swapBoard } from '@frostmoot/contract';
import type { z } from 'zod';
import { withoutPlace, type ContainerCard } from '../stock/container-card.ts';
import type { SwapRow } from './swap.repository.ts';

export type SwapView = z.infer<typeof swap>;
export type SwapBoardView = z.infer<typeof swapBoard>;

const portionsIn = (cards: readonly ContainerCard[]): number => cards.reduce((sum, { portions }) => sum + portions, 0);

/** A swap as one of its households sees it. */
export function swapView(
  row: SwapRow,
  cards: ReadonlyMap<string, ContainerCard>,
  householdId: string,
  now: Date,
): SwapView {
  const given = (giver: string): ContainerCard[] =>
    row.parts
      .filter(({ giverHouseholdId }) => giverHouseholdId === giver)
      .flatMap(({ containerId }) => cards.get(containerId) ?? [])
      .map((card) => withoutPlace(card, householdId));
  const [gives, gets] = [given(row.from.id), given(row.to.id)];
  return {
    id: row.id,
    from: row.from,
    to: row.to,
    state: stateNow({ ...row, openUntil: row.openUntil.getTime(), from: row.from.id, to: row.to.id }, now.getTime()),
    words: row.words,
    gives,
    gets,
    portionsGiven: portionsIn(gives),
    portionsGot: portionsIn(gets),
    openUntil: row.openUntil.toISOString(),
    createdAt: row.createdAt.toISOString(),
    answeredAt: row.answeredAt?.toISOString() ?? null,
    answersId: row.answersId,
    version: row.version,
  };
}
