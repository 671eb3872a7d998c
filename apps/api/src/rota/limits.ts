import { canonicalJson } from '@frostmoot/calc';
import type { InputFault, RotaLimit } from '@frostmoot/calc';
import type { rotaLimit } from '@frostmoot/contract';
import type { z } from 'zod';

export type LimitView = z.infer<typeof rotaLimit>;
type Names = ReadonlyMap<string, string>;

/** A limit with the names of what it is about. */
export function limitView(limit: RotaLimit, households: Names, dishes: Names): LimitView {
  const named = (id: string, names: Names) => ({ id, name: names.get(id) ?? '' });
  return {
    kind: limit.kind,
    weekOf: limit.week,
    household: 'household' in limit ? named(limit.household, households) : null,
    dish: 'dish' in limit ? named(limit.dish, dishes) : null,
    cooks: 'cooks' in limit ? limit.cooks : null,
  };
}

/** Those of the limits that are not among the accepted ones. */
export function notAccepted(broken: readonly RotaLimit[], accepted: readonly RotaLimit[]): RotaLimit[] {
  const known = new Set(accepted.map(canonicalJson));
  return broken.filter((limit) => !known.has(canonicalJson(limit)));
}

/** The limits as faults of a problem document, each with what its words on a screen need. */
export const limitFaults = (views: readonly LimitView[], pointer: string): InputFault[] =>
  views.map((view) => ({
    pointer,
    detail: limitSentence(view),
    code: `limit-${view.kind}`,
    params: {
      week: view.weekOf,
      household: view.household?.name ?? '',
      dish: view.dish?.name ?? '',
      cooks: view.cooks ?? 0,
    },
  }));

/** A sentence for those who read the problem document itself; the screens make theirs from the limits. */
export function limitSentence({ kind, weekOf, household, dish, cooks }: LimitView): string {
  const who = household?.name ?? '';
  const sentences: Record<LimitView['kind'], string> = {
    least: `only ${cooks} cook`,
    most: `${cooks} cook, more than asked for`,
    kept: `${who} loses a published turn`,
    gap: `${who} has a turn too soon after another`,
    away: `${who} is away`,
    skill: `nobody can make ${dish?.name ?? ''}`,
    pots: 'the pots are too small',
  };
  return `Week of ${weekOf}: ${sentences[kind]}.`;
}
