import { rational } from '@frostmoot/calc';
import type { rota, rotaDraft, rotaTurn } from '@frostmoot/contract';
import type { z } from 'zod';
import { litresOf } from './pots.ts';
import { limitView, notAccepted } from './limits.ts';
import type { Judgement, RotaFacts } from './rota-facts.service.ts';
import type { TurnRow } from './rota-turns.repository.ts';
import type { RotaRow } from './rotas.repository.ts';

export type RotaView = z.infer<typeof rota>;
export type DraftView = z.infer<typeof rotaDraft>;

export const turnView = ({ id, weekOf, household, state, cookDayId, version }: TurnRow): z.infer<typeof rotaTurn> => ({
  id,
  weekOf,
  household,
  state,
  cookDayId,
  version,
});

/** A draft as it stands by now. */
export function draftView(
  draft: RotaRow,
  { households, names }: RotaFacts,
  { broken, load, published, handSet }: Judgement,
  dishes: ReadonlyMap<string, string>,
): DraftView {
  const isPublished = (weekOf: string, id: string): boolean =>
    published.some((turn) => turn.weekOf === weekOf && turn.household?.id === id) ||
    handSet.some((turn) => turn.weekOf === weekOf && turn.householdId === id);
  const named = (id: string) => ({ id, name: names.get(id) ?? '' });
  const limits = (list: DraftLimits) => list.map((limit) => limitView(limit, names, dishes));
  return {
    id: draft.id,
    proof: draft.result.proof,
    weeks: draft.weeks.map(({ weekOf, team, dishes: ids, potMl }) => ({
      weekOf,
      team,
      dishes: ids.map((id) => ({ id, name: dishes.get(id) ?? '' })),
      potLitres: litresOf(potMl),
      turns: draft.turns
        .filter((turn) => turn.weekOf === weekOf)
        .map(({ householdId, kept }) => ({
          household: named(householdId),
          kept,
          published: isPublished(weekOf, householdId),
        }))
        .sort((a, b) => (a.household.name < b.household.name ? -1 : 1)),
    })),
    loads: households.map(({ id, name, weight }) => {
      const given = draft.turns.filter((turn) => turn.householdId === id).length;
      const owedAfter = load.get(id)?.owedAfter ?? rational.zero;
      return {
        household: { id, name },
        weight: rational.format(weight),
        // Turns around these weeks are had as well as due, so what is due here is what is left owed and what is given here.
        target: rational.format(rational.add(owedAfter, rational.rational(BigInt(given)))),
        given,
        owedAfter: rational.format(owedAfter),
      };
    }),
    conflict: limits(draft.result.conflict ?? []),
    repair: limits(draft.result.relax ?? []),
    broken: limits(broken),
    brokenAccepted: notAccepted(broken, draft.accepted).length === 0,
    createdAt: draft.createdAt.toISOString(),
    version: draft.version,
  };
}

type DraftLimits = readonly Parameters<typeof limitView>[0][];
